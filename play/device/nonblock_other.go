//go:build !unix

package device

// nonblock: other systems have no flag for it.
const nonblock = 0
