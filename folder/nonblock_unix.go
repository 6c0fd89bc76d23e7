//go:build unix

package folder

import (
	"errors"
	"syscall"
)

// nonblock keeps an open from waiting for the other end of a pipe, and a
// terminal from becoming ours.
const nonblock = syscall.O_NONBLOCK | syscall.O_NOCTTY

// noReader tells whether a pipe has nobody at its other end yet (open(2)).
func noReader(err error) bool { return errors.Is(err, syscall.ENXIO) }
