//go:build unix

package room_test

import "syscall"

// processor is the processor time that this program has had, in seconds: a
// busy machine changes it less than the time on the wall.
func processor() float64 {
	var u syscall.Rusage
	_ = syscall.Getrusage(syscall.RUSAGE_SELF, &u) // fails on a bad address alone
	return float64(u.Utime.Nano()+u.Stime.Nano()) / 1e9
}
