package keeper

import (
	"time"

	"golang.org/x/sys/unix"
)

// instantOf is an instant as both processes read it: nanoseconds of the clock that no
// setting of the time moves.
func instantOf(t time.Time) int64 {
	var now unix.Timespec
	_ = unix.ClockGettime(unix.CLOCK_MONOTONIC, &now)
	return now.Nano() + int64(time.Until(t))
}

// timeOf is the instant in this process.
func timeOf(instant int64) time.Time {
	var now unix.Timespec
	_ = unix.ClockGettime(unix.CLOCK_MONOTONIC, &now)
	return time.Now().Add(time.Duration(instant - now.Nano()))
}

// sleepUntil waits in the system itself, which wakes a thread of high priority within some
// microseconds; timers of the language are kept by whatever thread has time for them.
func sleepUntil(t time.Time) {
	for d := time.Until(t); d > 0; d = time.Until(t) {
		ts := unix.NsecToTimespec(int64(d))
		_ = unix.ClockNanosleep(unix.CLOCK_MONOTONIC, 0, &ts, nil)
	}
}
