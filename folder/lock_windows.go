package folder

import (
	"errors"
	"os"

	"golang.org/x/sys/windows"
)

// flock takes a lock on the file's first byte (LockFileEx).
func flock(file *os.File) error {
	const flags = windows.LOCKFILE_EXCLUSIVE_LOCK | windows.LOCKFILE_FAIL_IMMEDIATELY
	err := windows.LockFileEx(windows.Handle(file.Fd()), flags, 0, 1, 0, new(windows.Overlapped))
	if errors.Is(err, windows.ERROR_LOCK_VIOLATION) || errors.Is(err, windows.ERROR_IO_PENDING) {
		return errLocked
	}
	return err
}

// lockBusy: while another removes the file, it can be neither opened nor made.
func (f *Folder) lockBusy(err error) bool {
	if !errors.Is(err, windows.ERROR_ACCESS_DENIED) && !errors.Is(err, windows.ERROR_SHARING_VIOLATION) && !errors.Is(err, windows.ERROR_DELETE_PENDING) {
		return false
	}
	_, gone := f.root.Lstat(lockName)
	return gone == nil
}

// unlock lets go and removes the file, which fails, rightly, when another has
// opened it.
func (f *Folder) unlock(file *os.File) {
	_ = file.Close()
	_ = f.root.Remove(lockName)
}
