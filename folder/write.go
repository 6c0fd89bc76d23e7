package folder

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"time"
)

// WriteFile writes one file, which may lie anywhere, whole or not at all: into
// a file beside it, forced to the disk, then renamed over it. An existing file
// keeps its permissions. A device or a pipe is written to as it is.
func WriteFile(ctx context.Context, name string, data []byte) error {
	return WriteStream(ctx, name, func(w io.Writer) error {
		_, err := w.Write(data)
		return err
	}, nil)
}

// WriteStream is WriteFile for contents that are too large to hold: write brings them.
// check, which may be nil, then reads what lies on the disk, in a file beside; only when
// both are content does it take the name. It is not called for a pipe or a device.
func WriteStream(ctx context.Context, name string, write func(io.Writer) error, check func(path string) error) error {
	err := writeFile(ctx, name, write, check)
	var path *fs.PathError
	if errors.As(err, &path) {
		err = path.Err // the name of the file beside it tells nobody anything
	}
	if err != nil {
		return fmt.Errorf("write %s: %w", name, err)
	}
	return nil
}

// writeFile chooses the way: beside and renamed for a plain file or a new one, straight
// through for what has no place to rename over. A link stays: the file behind it is
// replaced.
func writeFile(ctx context.Context, name string, write func(io.Writer) error, check func(path string) error) error {
	mode := os.FileMode(0o644)
	info, err := os.Stat(name)
	switch {
	case err != nil:
	case info.IsDir():
		return ErrFolder
	case !info.Mode().IsRegular():
		return writeThrough(ctx, name, write)
	default:
		mode = info.Mode().Perm()
		if name, err = filepath.EvalSymlinks(name); err != nil {
			return err
		}
	}
	return replace(ctx, name, mode, write, check)
}

// stopped ends a write when the context is done.
type stopped struct {
	ctx context.Context
	w   io.Writer
}

func (s stopped) Write(p []byte) (int, error) {
	if err := s.ctx.Err(); err != nil {
		return 0, err
	}
	return s.w.Write(p)
}

// replace writes beside and renames. The order of the calls is what makes it whole after
// a loss of power: data to the disk, then the name, then the folder that holds the name.
func replace(ctx context.Context, name string, mode os.FileMode, write func(io.Writer) error, check func(path string) error) error {
	fault := faultOf(ctx)
	if fault == nil {
		fault = func(string, string) error { return nil }
	}
	dir := filepath.Dir(name)
	// In the same folder, so that renaming does not cross from one disk to another.
	f, err := os.CreateTemp(dir, "."+filepath.Base(name)+".*")
	if err != nil {
		return err
	}
	defer os.Remove(f.Name()) // after the rename there is nothing to remove
	err = errors.Join(ctx.Err(), fault("write", name))
	if err == nil {
		err = write(stopped{ctx, f})
	}
	if err == nil {
		_ = f.Chmod(mode) // some disks have no permissions
	}
	if err == nil {
		err = f.Sync()
	}
	if err == nil && check != nil {
		forget(f) // else what is read again comes from memory
	}
	if e := f.Close(); err == nil {
		err = e
	}
	if err == nil && check != nil {
		err = check(f.Name())
	}
	if err == nil {
		err = os.Rename(f.Name(), name)
	}
	if err != nil {
		return err
	}
	d, err := os.Open(dir)
	if err != nil {
		return nil // a folder that may be written to and not read
	}
	defer d.Close()
	return forceDir(d)
}

// Append opens a file to write behind what it holds; a pipe must have a reader.
func Append(name string) (*os.File, error) {
	return os.OpenFile(name, os.O_CREATE|os.O_APPEND|os.O_WRONLY|nonblock, 0o644)
}

// writeThrough writes to a pipe or a device, waiting for a reader while the
// context lasts.
func writeThrough(ctx context.Context, name string, write func(io.Writer) error) error {
	var f *os.File
	for {
		var err error
		if f, err = os.OpenFile(name, os.O_WRONLY|nonblock, 0); err == nil {
			break
		}
		if !noReader(err) {
			return err
		}
		select {
		case <-ctx.Done():
			return ctx.Err()
		case <-time.After(20 * time.Millisecond):
		}
	}
	// A deadline long past makes a write return that waits for a slow reader.
	stop := context.AfterFunc(ctx, func() { _ = f.SetWriteDeadline(time.Unix(1, 0)) })
	defer stop()
	err := write(f)
	if e := f.Close(); err == nil {
		err = e
	}
	if ctx.Err() != nil {
		return ctx.Err()
	}
	return err
}
