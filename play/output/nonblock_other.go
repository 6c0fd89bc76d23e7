//go:build !unix

package output

const nonblock = 0
