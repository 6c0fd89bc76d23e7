//go:build unix

package folder

import (
	"errors"
	"os"
	"syscall"
)

// forceDir makes the names in a folder survive a loss of power. Some file
// systems cannot, and say so.
func forceDir(dir *os.File) error {
	err := dir.Sync()
	if errors.Is(err, syscall.EINVAL) || errors.Is(err, syscall.ENOTSUP) || errors.Is(err, syscall.EBADF) {
		return nil
	}
	return err
}
