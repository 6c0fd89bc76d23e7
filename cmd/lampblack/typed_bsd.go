//go:build darwin || freebsd || netbsd || openbsd || dragonfly

package main

import "golang.org/x/sys/unix"

// dropTyped throws away what was typed and not yet read: keys that somebody pressed while the
// show was loading would otherwise steer it as soon as it runs.
func dropTyped(fd int) {
	const read = 1 // FREAD of sys/fcntl.h: the queue of what comes in
	_ = unix.IoctlSetPointerInt(fd, unix.TIOCFLUSH, read)
}
