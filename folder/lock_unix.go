//go:build unix && !solaris && !illumos && !aix

package folder

import (
	"errors"
	"os"
	"syscall"
)

// flock takes an advisory lock on the open file (flock(2)).
func flock(file *os.File) error {
	for {
		err := syscall.Flock(int(file.Fd()), syscall.LOCK_EX|syscall.LOCK_NB)
		switch {
		case errors.Is(err, syscall.EINTR):
			continue
		case errors.Is(err, syscall.EWOULDBLOCK):
			return errLocked
		}
		return err
	}
}

// lockBusy: opening the file never fails because another has it open.
func (f *Folder) lockBusy(error) bool { return false }

// unlock removes the lock file while it is still locked, so that nobody's lock
// is removed, and lets go.
func (f *Folder) unlock(file *os.File) {
	_ = f.root.Remove(lockName)
	_ = file.Close()
}
