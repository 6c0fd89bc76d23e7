package output

import (
	"syscall"

	"golang.org/x/sys/windows"
)

// alsoCalled is what this system calls an error that others have another name for.
func alsoCalled(err error) error {
	switch err {
	case syscall.ENOSPC:
		return windows.ERROR_DISK_FULL
	case syscall.EROFS:
		return windows.ERROR_WRITE_PROTECT
	case syscall.ENODEV:
		return windows.ERROR_DEVICE_NOT_CONNECTED
	case syscall.ENXIO:
		return windows.ERROR_GEN_FAILURE // what a serial device that was pulled comes to
	case syscall.ENETUNREACH:
		return windows.WSAENETUNREACH
	case syscall.EADDRNOTAVAIL:
		return windows.WSAEADDRNOTAVAIL
	case syscall.ENETDOWN:
		return windows.WSAENETDOWN
	case syscall.EHOSTUNREACH:
		return windows.WSAEHOSTUNREACH
	case syscall.EHOSTDOWN:
		return windows.WSAEHOSTDOWN
	case syscall.ECONNREFUSED:
		return windows.WSAECONNRESET // of a datagram that came back
	case syscall.ENOBUFS:
		return windows.WSAENOBUFS
	}
	return err
}
