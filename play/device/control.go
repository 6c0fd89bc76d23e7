package device

import "os"

// Control runs f on a file's descriptor without taking it out of the poller, so that
// deadlines and Close go on to end what waits.
func Control(file *os.File, f func(fd int) error) error {
	raw, err := file.SyscallConn()
	if err != nil {
		return err
	}
	var failed error
	if err := raw.Control(func(fd uintptr) { failed = f(int(fd)) }); err != nil {
		return err
	}
	return failed
}
