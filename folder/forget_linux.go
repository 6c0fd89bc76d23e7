package folder

import (
	"os"

	"golang.org/x/sys/unix"
)

// forget lets the system drop what it holds of a file in memory, once it is on the disk, so
// that reading it again reads the disk (posix_fadvise, POSIX.1-2017). A system that does
// not is as good as one that cannot: the file is read all the same.
func forget(f *os.File) { _ = unix.Fadvise(int(f.Fd()), 0, 0, unix.FADV_DONTNEED) }
