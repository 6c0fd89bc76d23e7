package bundle

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"slices"

	"lampblack/folder"
)

// ErrAltered says that a file does not hold what the bundle's list says.
var ErrAltered = errors.New("it does not hold what its list says: it was changed or damaged on the way; copy the bundle once more")

// Unpack makes a folder hold what the bundle does, in one edit: all of it, or nothing is
// changed. A file that is as it should be is left; others of the folder go. Those that keep
// names stay as they are, once they are there.
func (b *Bundle) Unpack(into *folder.Folder, keep ...string) error {
	e := into.Edit()
	for i := range b.Files {
		f := &b.Files[i]
		is, err := into.Sum(f.Name)
		if err != nil {
			return err
		}
		if is == f.Sum() || is != "" && slices.Contains(keep, f.Name) {
			continue
		}
		e.Stream(f.Name, func(w io.Writer) error {
			s, err := b.copy(w, f)
			if err == nil && s != f.sum {
				err = ErrAltered
			}
			if err != nil {
				return fmt.Errorf("%s: %s: %w", b.name, f.Name, err)
			}
			return nil
		})
	}
	err := fs.WalkDir(into, ".", func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		ours := slices.ContainsFunc(b.Files, func(f File) bool { return f.Name == name })
		if !ours && !slices.Contains(keep, name) {
			e.Remove(name)
		}
		return nil
	})
	if err != nil {
		return err
	}
	return e.Commit()
}
