//go:build !linux

package keeper

import "time"

// instantOf is an instant as both processes read it: that of the clock on the wall. When
// that is set during a show, one frame is late.
func instantOf(t time.Time) int64 { return t.Round(0).UnixNano() }

// timeOf is the instant in this process.
func timeOf(instant int64) time.Time { return time.Now().Add(time.Until(time.Unix(0, instant))) }

func sleepUntil(t time.Time) { time.Sleep(time.Until(t)) }
