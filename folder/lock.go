package folder

import (
	"context"
	"errors"
	"fmt"
	"os"
	"time"
)

// lockName is the file whose lock whoever writes holds. It is there only while
// somebody writes; the lock, not the file, is what counts, and the system takes
// that back from a process that is killed.
const lockName = ".lampblack-lock"

// lockPatience is longer than any edit takes on a slow disk.
const lockPatience = time.Minute

// errLocked is what tryLock returns while another holds the lock.
var errLocked = errors.New("locked")

// lock waits for the folder's lock.
func (f *Folder) lock() (unlock func(), err error) {
	ctx, cancel := context.WithTimeout(f.ctx, lockPatience)
	defer cancel()
	for wait := time.Millisecond; ; wait = min(2*wait, 50*time.Millisecond) {
		file, err := f.tryLock()
		if err == nil {
			return func() { f.unlock(file) }, nil
		}
		if !errors.Is(err, errLocked) {
			return nil, fmt.Errorf("write into %s: %w", f.dir, err)
		}
		select {
		case <-ctx.Done():
			if err := f.ctx.Err(); err != nil {
				return nil, err
			}
			return nil, fmt.Errorf("write into %s: another Lampblack has been writing there for %v", f.dir, lockPatience)
		case <-time.After(wait):
		}
	}
}

// tryLock locks the lock file. Whoever held it before may have removed it
// between our opening and locking it: then another file is the lock.
func (f *Folder) tryLock() (*os.File, error) {
	if err := f.try("lock", lockName); err != nil {
		return nil, err
	}
	file, err := f.root.OpenFile(lockName, os.O_RDWR|os.O_CREATE|nonblock, 0o644)
	if err != nil {
		if f.lockBusy(err) {
			return nil, errLocked
		}
		return nil, err
	}
	if err := flock(file); err != nil {
		file.Close()
		return nil, err
	}
	mine, err := file.Stat()
	if err == nil {
		there, e := f.root.Stat(lockName)
		if e != nil || !os.SameFile(mine, there) {
			err = errLocked
		}
	}
	if err != nil {
		file.Close()
		return nil, err
	}
	return file, nil
}
