package folder

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
)

// What a guarded read refuses.
var (
	ErrFolder = errors.New("this is a folder, not a file")
	ErrFile   = errors.New("this is a file, not a folder")
	ErrPlain  = errors.New("this is not a plain file")
)

// TooLarge says that a file is larger than its bound.
type TooLarge struct{ Most int64 }

func (e TooLarge) Error() string {
	if e.Most >= 1<<30 {
		return fmt.Sprintf("the file is larger than %d GiB", e.Most>>30)
	}
	return fmt.Sprintf("the file is larger than %d MiB", e.Most>>20)
}

// File is a plain file that is read under guard: reads end when the context is
// done.
type File struct {
	*os.File
	ctx  context.Context
	most int64
}

// OpenFile opens a file that a person named, which may lie anywhere: a plain
// file of at most so many bytes. It never waits for a pipe or a device.
func OpenFile(ctx context.Context, name string, most int64) (*File, error) {
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	info, err := os.Stat(name)
	if err == nil {
		err = refuse(name, info, most)
	}
	if err != nil {
		return nil, err
	}
	return guarded(ctx, name, most, func() (*os.File, error) { return os.OpenFile(name, os.O_RDONLY|nonblock, 0) })
}

// ReadFile reads a file that a person named, as OpenFile opens it.
func ReadFile(ctx context.Context, name string, most int64) ([]byte, error) {
	f, err := OpenFile(ctx, name, most)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	return f.all()
}

// Within tells why a text of a folder is neither read nor written: a link that leads out, a
// folder, a pipe. One that is not there is none of these.
func Within(dir, name string) error {
	root, err := os.OpenRoot(dir)
	if err != nil {
		return err
	}
	defer root.Close()
	info, err := root.Stat(name)
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	if err != nil {
		return err
	}
	return refuse(name, info, MaxText)
}

// open opens a file of the folder.
func (f *Folder) open(ctx context.Context, name string, most int64) (*File, error) {
	if _, err := f.plain(ctx, name, most); err != nil {
		return nil, err
	}
	return guarded(ctx, name, most, func() (*os.File, error) { return f.root.OpenFile(name, os.O_RDONLY|nonblock, 0) })
}

// plain looks at a file of the folder before it is opened: opening alone does
// something to a pipe or a device.
func (f *Folder) plain(ctx context.Context, name string, most int64) (fs.FileInfo, error) {
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	info, err := f.root.Stat(name)
	if err == nil {
		err = refuse(name, info, most)
	}
	return info, err
}

// guarded opens, and looks once more at what was opened: between a look and an open
// another file may have taken the name.
func guarded(ctx context.Context, name string, most int64, open func() (*os.File, error)) (*File, error) {
	file, err := open()
	if err != nil {
		return nil, err
	}
	info, err := file.Stat()
	if err == nil {
		err = refuse(name, info, most)
	}
	if err != nil {
		file.Close()
		return nil, err
	}
	return &File{file, ctx, most}, nil
}

// refuse says why a thing is not read: a device may never end, and reading a pipe takes what
// is in it away from somebody else.
func refuse(name string, info fs.FileInfo, most int64) error {
	var err error
	switch {
	case info.IsDir():
		err = ErrFolder
	case !info.Mode().IsRegular():
		err = ErrPlain
	case info.Size() > most:
		err = TooLarge{most}
	default:
		return nil
	}
	return &fs.PathError{Op: "open", Path: name, Err: err}
}

// Read reads, unless the context is done. Pieces of at most 1 MiB keep one read of a
// slow disk from outlasting the context by much.
func (f *File) Read(p []byte) (int, error) {
	if err := f.ctx.Err(); err != nil {
		return 0, err
	}
	return f.File.Read(p[:min(len(p), 1<<20)])
}

// ReadAt reads at a place, unless the context is done.
func (f *File) ReadAt(p []byte, at int64) (int, error) {
	if err := f.ctx.Err(); err != nil {
		return 0, err
	}
	return f.File.ReadAt(p, at)
}

// WriteTo keeps io.Copy from going round Read.
func (f *File) WriteTo(w io.Writer) (int64, error) {
	return io.Copy(w, struct{ io.Reader }{f})
}

// all reads the file whole; one that grows meanwhile stays inside its bound.
func (f *File) all() ([]byte, error) {
	data, err := io.ReadAll(io.LimitReader(f, f.most+1))
	if err == nil && int64(len(data)) > f.most {
		err = &fs.PathError{Op: "read", Path: f.Name(), Err: TooLarge{f.most}}
	}
	return data, err
}
