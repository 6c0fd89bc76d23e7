//go:build unix

package device

import "syscall"

// nonblock makes reads and writes of a device obey deadlines, and the opening
// of a pipe not wait.
const nonblock = syscall.O_NONBLOCK
