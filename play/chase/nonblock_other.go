//go:build !unix

package chase

// nonblock: other systems have no flag for it.
const nonblock = 0
