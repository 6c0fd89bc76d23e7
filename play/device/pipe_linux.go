package device

import (
	"os"

	"golang.org/x/sys/unix"
)

// Waiting is how many bytes are in a pipe or a terminal that nobody has read yet; ok is false
// for what does not tell.
func Waiting(f *os.File) (bytes int, ok bool) {
	err := Control(f, func(fd int) (err error) {
		bytes, err = unix.IoctlGetInt(fd, unix.TIOCINQ) // FIONREAD, which pipes know too (pipe(7))
		return err
	})
	return bytes, err == nil && bytes >= 0
}

// Shorten lets a pipe hold no more than so many bytes, as far as the system goes: it rounds up
// to whole pages, and takes nothing away that is in it (fcntl(2), F_SETPIPE_SZ). What a pipe
// holds is a delay.
func Shorten(f *os.File, bytes int) {
	_ = Control(f, func(fd int) error {
		_, err := unix.FcntlInt(uintptr(fd), unix.F_SETPIPE_SZ, bytes)
		return err
	})
}
