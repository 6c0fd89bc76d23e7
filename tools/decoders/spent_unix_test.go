//go:build unix

package decoders

import "syscall"

// spent adds up processor time, which other work on the machine does not touch.
type spent struct {
	seconds, energy float64
	frames          int
}

func (s *spent) run(decode func() (int, float64)) {
	before := processor()
	s.frames, s.energy = decode()
	s.seconds += processor() - before
}

func processor() float64 {
	var u syscall.Rusage
	_ = syscall.Getrusage(syscall.RUSAGE_SELF, &u)
	return float64(u.Utime.Sec+u.Stime.Sec) + float64(u.Utime.Usec+u.Stime.Usec)/1e6
}
