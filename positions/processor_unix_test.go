//go:build unix

package positions_test

import (
	"syscall"
	"time"
)

// spentNow is the time that processors have spent on this process.
func spentNow() time.Duration {
	var u syscall.Rusage
	if syscall.Getrusage(syscall.RUSAGE_SELF, &u) != nil {
		return 0
	}
	return time.Duration(u.Utime.Nano() + u.Stime.Nano())
}
