//go:build !linux

package device

import "os"

// Waiting is how many bytes are in a pipe that nobody has read yet: other systems are not asked.
func Waiting(*os.File) (bytes int, ok bool) { return 0, false }

// Shorten lets a pipe hold no more than so many bytes: only Linux can.
func Shorten(*os.File, int) {}
