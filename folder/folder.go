package folder

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"
	"sync"
)

// Bounds of what is read.
const (
	// MaxText bounds a text of a show; ten thousand cues are well inside it.
	MaxText = 8 << 20
	// MaxSound bounds a sound file: a day of stereo at 48 kHz in 24 bits is 25 GB.
	MaxSound = 32 << 30
)

// Folder is an open folder as it was at one time: a file that changes between
// two reads is [ErrChanged]. It is an fs.FS of its texts. Its context ends all
// it does.
type Folder struct {
	dir     string
	ctx     context.Context
	root    *os.Root
	fault   func(step, name string) error
	pending map[string]string // files whose new text could not be put in place, and where it lies
	made    []string          // folders that Create made, the innermost first
	left    []string          // new texts that were not put over what a person wrote
	sealed  *seal             // why nothing is written into it; nil where it may be

	mu   sync.Mutex
	seen map[string]string // what was read: name to sum, "" for a file that was not there
}

// ErrChanged is returned when a file of the folder is no longer as it was read.
var ErrChanged = errors.New("changed by somebody else meanwhile")

// Open opens a folder, after finishing an edit that was cut off in it.
func Open(ctx context.Context, dir string) (*Folder, error) {
	info, err := os.Stat(dir)
	if err != nil {
		return nil, err
	}
	if !info.IsDir() {
		return nil, &fs.PathError{Op: "open", Path: dir, Err: ErrFile}
	}
	root, err := os.OpenRoot(dir)
	if err != nil {
		return nil, err
	}
	f := &Folder{dir: dir, ctx: ctx, root: root, seen: map[string]string{}, fault: faultOf(ctx)}
	err = f.readSeal()
	if err == nil {
		err = f.settle()
	}
	if err != nil {
		root.Close()
		return nil, err
	}
	return f, nil
}

// Create opens a folder that is made when it is not there; Close takes it away
// again when nothing came into it.
func Create(ctx context.Context, dir string) (*Folder, error) {
	var made []string
	for at := filepath.Clean(dir); ; at = filepath.Dir(at) {
		if _, err := os.Stat(at); !errors.Is(err, fs.ErrNotExist) {
			break
		}
		made = append(made, at)
	}
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return nil, err
	}
	f, err := Open(ctx, dir)
	if err == nil {
		f.made = made
	}
	return f, err
}

// Close closes the folder.
func (f *Folder) Close() error {
	err := f.root.Close()
	for _, dir := range f.made {
		if os.Remove(dir) != nil { // it holds something
			break
		}
	}
	return err
}

// Dir returns the name that the folder was opened by.
func (f *Folder) Dir() string { return f.dir }

// Left lists files, kept beside those of the folder, that hold what an edit
// wanted to write when it was cut off, where a person wrote something else
// since.
func (f *Folder) Left() []string { return f.left }

// Path returns where a file of the folder lies, for what must have a path. It
// is a plain file inside the folder, even by way of links, when Path looks.
func (f *Folder) Path(name string) (string, error) {
	name = f.place(name)
	if _, err := f.plain(f.ctx, name, MaxSound); err != nil {
		return "", err
	}
	return filepath.Join(f.dir, filepath.FromSlash(name)), nil
}

// OpenFile opens a file of the folder that may be large, as a sound is. What it holds is
// not remembered.
func (f *Folder) OpenFile(name string) (*File, error) { return f.open(f.ctx, f.place(name), MaxSound) }

// Sum is the SHA-256 of what a file holds, in hex; "" for one that is not there, "?" for
// what is no file to read.
func (f *Folder) Sum(name string) (string, error) { return f.sum(f.place(name)) }

// Texts lists the texts that were read and are there, in order.
func (f *Folder) Texts() []string {
	f.mu.Lock()
	defer f.mu.Unlock()
	var out []string
	for name, sum := range f.seen {
		if sum != "" {
			out = append(out, name)
		}
	}
	slices.Sort(out)
	return out
}

// place is where a file's text lies now.
func (f *Folder) place(name string) string {
	if temp, ok := f.pending[name]; ok {
		return temp
	}
	return name
}

// ReadFile reads a text of the folder.
func (f *Folder) ReadFile(name string) ([]byte, error) {
	data, err := f.read(name)
	sum := ""
	switch {
	case err == nil:
		sum = sumOf(data)
	case !errors.Is(err, fs.ErrNotExist):
		return nil, err
	}
	f.mu.Lock()
	defer f.mu.Unlock()
	if old, again := f.seen[name]; again && old != sum {
		return nil, &fs.PathError{Op: "read", Path: name, Err: ErrChanged}
	}
	f.seen[name] = sum
	return data, err
}

// read is a guarded read that is not remembered.
func (f *Folder) read(name string) ([]byte, error) {
	file, err := f.open(f.ctx, f.place(name), MaxText)
	if err != nil {
		return nil, err
	}
	defer file.Close()
	return file.all()
}

// Optional reads a text that need not be there: then it returns nil.
func (f *Folder) Optional(name string) ([]byte, error) {
	data, err := f.ReadFile(name)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	return data, err
}

// Open makes the folder an fs.FS: a text is read whole when it is opened.
func (f *Folder) Open(name string) (fs.File, error) {
	if !fs.ValidPath(name) {
		return nil, &fs.PathError{Op: "open", Path: name, Err: fs.ErrInvalid}
	}
	info, err := f.Stat(name)
	if err != nil {
		return nil, err
	}
	if info.IsDir() {
		return f.root.Open(name)
	}
	data, err := f.ReadFile(name)
	if err != nil {
		return nil, err
	}
	return &text{Reader: strings.NewReader(string(data)), info: info}, nil
}

// text is a file that was read whole.
type text struct {
	*strings.Reader
	info fs.FileInfo
}

func (t *text) Stat() (fs.FileInfo, error) { return t.info, nil }
func (t *text) Close() error               { return nil }

// Stat tells of a file, by way of links inside the folder.
func (f *Folder) Stat(name string) (fs.FileInfo, error) { return f.root.Stat(f.place(name)) }

// ReadDir lists a folder inside the folder by name. What begins with a dot is
// left out.
func (f *Folder) ReadDir(name string) ([]fs.DirEntry, error) {
	dir, err := f.openDir(name)
	if err != nil {
		return nil, err
	}
	defer dir.Close()
	entries, err := dir.ReadDir(maxEntries + 1)
	if err != nil && !errors.Is(err, io.EOF) {
		return nil, err
	}
	if len(entries) > maxEntries {
		return nil, &fs.PathError{Op: "read", Path: name, Err: fmt.Errorf("the folder holds more than %d files", maxEntries)}
	}
	entries = slices.DeleteFunc(entries, func(e fs.DirEntry) bool { return strings.HasPrefix(e.Name(), ".") })
	entries = append(entries, f.pendingIn(name, entries)...)
	slices.SortFunc(entries, func(a, b fs.DirEntry) int { return strings.Compare(a.Name(), b.Name()) })
	return entries, nil
}

// openDir opens a folder inside the folder. It looks before: opening alone does
// something to a device. A pipe that comes in between is not waited for.
func (f *Folder) openDir(name string) (*os.File, error) {
	info, err := f.root.Stat(name)
	if err != nil {
		return nil, err
	}
	if !info.IsDir() {
		return nil, &fs.PathError{Op: "open", Path: name, Err: ErrFile}
	}
	return f.root.OpenFile(name, os.O_RDONLY|nonblock, 0)
}

// maxEntries bounds a folder; a hire stock has some hundred kinds of lamp.
const maxEntries = 5000

// pendingIn lists new files of a cut edit that are not in their place.
func (f *Folder) pendingIn(dir string, there []fs.DirEntry) []fs.DirEntry {
	var out []fs.DirEntry
	for name, temp := range f.pending {
		known := slices.ContainsFunc(there, func(e fs.DirEntry) bool { return e.Name() == path.Base(name) })
		if info, err := f.root.Stat(temp); path.Dir(name) == dir && !known && err == nil {
			out = append(out, fs.FileInfoToDirEntry(renamed{info, path.Base(name)}))
		}
	}
	return out
}

type renamed struct {
	fs.FileInfo
	name string
}

func (r renamed) Name() string { return r.name }

// Unchanged tells whether all that was read is still so, and belongs to one
// state: it returns ErrChanged when it does not.
func (f *Folder) Unchanged() error {
	// The journal first: while an edit is put in place, either the journal is
	// there or a file that was read has changed already.
	if _, err := f.root.Lstat(journalName); err == nil && f.pending == nil {
		return &fs.PathError{Op: "read", Path: f.dir, Err: ErrChanged}
	}
	return f.compare()
}

// compare reads again all that was read; ReadFile itself finds what differs. Sums are
// compared and not times: a copy or a fetch from elsewhere may set any time.
func (f *Folder) compare() error {
	f.mu.Lock()
	names := make([]string, 0, len(f.seen))
	for name := range f.seen {
		names = append(names, name)
	}
	f.mu.Unlock()
	slices.Sort(names)
	for _, name := range names {
		if _, err := f.ReadFile(name); err != nil && !errors.Is(err, fs.ErrNotExist) {
			return err
		}
	}
	return nil
}

func sumOf(data []byte) string {
	sum := sha256.Sum256(data)
	return hex.EncodeToString(sum[:])
}
