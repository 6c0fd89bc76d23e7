package keeper

import (
	"time"

	"golang.org/x/sys/unix"
)

// monotonic reads the clock that no setting of the time moves, which is the same in all
// processes, in nanoseconds. Tests have their own.
var monotonic = func() int64 {
	var now unix.Timespec
	_ = unix.ClockGettime(unix.CLOCK_MONOTONIC, &now)
	return now.Nano()
}

// sleepUntil waits in the system itself, which wakes a thread of high priority within some
// microseconds; timers of the language are kept by whatever thread has time for them.
func sleepUntil(t time.Time) {
	for d := time.Until(t); d > 0; d = time.Until(t) {
		ts := unix.NsecToTimespec(int64(d))
		_ = unix.ClockNanosleep(unix.CLOCK_MONOTONIC, 0, &ts, nil)
	}
}
