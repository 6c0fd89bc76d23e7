//go:build unix

package output

import "syscall"

// nonblock keeps an open from waiting for the other end of a pipe.
const nonblock = syscall.O_NONBLOCK
