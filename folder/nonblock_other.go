//go:build !unix

package folder

const nonblock = 0

func noReader(error) bool { return false }
