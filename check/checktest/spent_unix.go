//go:build unix

package checktest

import (
	"syscall"
	"time"
)

// Spent is the time that processors have spent on this process: on a busy machine the one that can be compared.
func Spent() time.Duration {
	var u syscall.Rusage
	if syscall.Getrusage(syscall.RUSAGE_SELF, &u) != nil {
		return 0
	}
	return time.Duration(u.Utime.Nano() + u.Stime.Nano())
}
