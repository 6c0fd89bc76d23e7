//go:build !linux

package keeper

import "time"

// monotonic reads a clock that is the same in all processes, in nanoseconds: that on the wall.
// When it is set during a show, one frame is late. Tests have their own.
var monotonic = func() int64 { return time.Now().UnixNano() }

func sleepUntil(t time.Time) { time.Sleep(time.Until(t)) }
