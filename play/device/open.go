package device

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"syscall"
)

// absent is fs.ErrNotExist without its words.
type absent struct{}

func (absent) Error() string        { return "" }
func (absent) Is(target error) bool { return target == fs.ErrNotExist }

// Open opens a device or pipe so that a stuck one does not hold us; "-" is
// standard input or output. Mode is that of os.OpenFile. What is not there is
// fs.ErrNotExist.
func Open(name string, mode int) (*os.File, error) {
	if name == "-" {
		return standard(mode)
	}
	if info, err := os.Stat(name); err == nil && info.Mode()&fs.ModeNamedPipe != 0 && mode == os.O_RDONLY {
		mode = os.O_RDWR // so that it does not end when a writer goes
	}
	f, err := os.OpenFile(name, mode|nonblock, 0)
	switch {
	case errors.Is(err, syscall.ENXIO):
		return nil, fmt.Errorf("open %s: nobody reads this pipe now", name)
	case errors.Is(err, fs.ErrNotExist):
		return nil, fmt.Errorf("open %s: no such device now%w", name, absent{})
	case err != nil:
		return nil, err
	}
	info, err := f.Stat()
	if err == nil && info.Mode().IsRegular() || info != nil && info.IsDir() {
		f.Close()
		return nil, fmt.Errorf("open %s: got a file or folder, want a device or a pipe", name)
	}
	return f, nil
}
