//go:build unix

package network

import (
	"syscall"

	"golang.org/x/sys/unix"
)

// Share lets other programs of this host listen on the same port.
func Share(_, _ string, c syscall.RawConn) error {
	var failed error
	err := c.Control(func(fd uintptr) {
		failed = unix.SetsockoptInt(int(fd), unix.SOL_SOCKET, unix.SO_REUSEADDR, 1)
		if failed == nil && sharePort {
			failed = unix.SetsockoptInt(int(fd), unix.SOL_SOCKET, unix.SO_REUSEPORT, 1)
		}
	})
	if err != nil {
		return err
	}
	return failed
}
