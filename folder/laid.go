package folder

import (
	"bytes"
	"cmp"
	"io/fs"
	"path"
	"slices"
	"time"
)

// Laid is a folder over which some texts are laid, in memory: the folder itself stays as it is.
type Laid struct {
	fs.FS
	Texts map[string][]byte // by name; nil where the folder's own is as if it were not there
	Hides func(string) bool // what else of the folder's own is not there; nil for nothing
}

// Open opens a text that is laid over, or the folder's own.
func (l *Laid) Open(name string) (fs.File, error) {
	switch data, over := l.Texts[name]; {
	case over && data != nil:
		return &memory{bytes.NewReader(data), laidEntry{path.Base(name), int64(len(data))}}, nil
	case over || l.hidden(name):
		return nil, &fs.PathError{Op: "open", Path: name, Err: fs.ErrNotExist}
	}
	return l.FS.Open(name)
}

// Stat looks at a file without opening the folder's own.
func (l *Laid) Stat(name string) (fs.FileInfo, error) {
	if _, over := l.Texts[name]; !over && !l.hidden(name) {
		return fs.Stat(l.FS, name)
	}
	f, err := l.Open(name)
	if err != nil {
		return nil, err
	}
	return f.Stat()
}

func (l *Laid) hidden(name string) bool { return l.Hides != nil && l.Hides(name) }

// ReadDir lists what is there with what is laid over it.
func (l *Laid) ReadDir(dir string) ([]fs.DirEntry, error) {
	own, err := fs.ReadDir(l.FS, dir)
	out := slices.DeleteFunc(slices.Clone(own), func(e fs.DirEntry) bool {
		name := path.Join(dir, e.Name())
		_, over := l.Texts[name]
		return over || l.hidden(name)
	})
	for name, data := range l.Texts {
		if data != nil && path.Dir(name) == dir {
			out = append(out, fs.FileInfoToDirEntry(laidEntry{path.Base(name), int64(len(data))}))
			err = nil
		}
	}
	slices.SortFunc(out, func(a, b fs.DirEntry) int { return cmp.Compare(a.Name(), b.Name()) })
	return out, err
}

// Dir is where the folder is; "" where it does not say.
func (l *Laid) Dir() string {
	if d, ok := l.FS.(interface{ Dir() string }); ok {
		return d.Dir()
	}
	return ""
}

// memory is a file that is not on a disk.
type memory struct {
	*bytes.Reader
	is laidEntry
}

func (m *memory) Stat() (fs.FileInfo, error) { return m.is, nil }
func (m *memory) Close() error               { return nil }

type laidEntry struct {
	name string
	size int64
}

func (e laidEntry) Name() string       { return e.name }
func (e laidEntry) Size() int64        { return e.size }
func (e laidEntry) Mode() fs.FileMode  { return 0o644 }
func (e laidEntry) ModTime() time.Time { return time.Time{} }
func (e laidEntry) IsDir() bool        { return false }
func (e laidEntry) Sys() any           { return nil }
