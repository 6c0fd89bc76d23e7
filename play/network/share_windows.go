package network

import (
	"syscall"

	"golang.org/x/sys/windows"
)

// Share lets other programs of this host listen on the same port.
func Share(_, _ string, c syscall.RawConn) error {
	var failed error
	err := c.Control(func(fd uintptr) {
		failed = windows.SetsockoptInt(windows.Handle(fd), windows.SOL_SOCKET, windows.SO_REUSEADDR, 1)
	})
	if err != nil {
		return err
	}
	return failed
}
