package folder

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"slices"
	"strings"
)

// sealName is the file that says why nothing is to be written into a folder: a line of
// that, and a line for each file that is written all the same.
const sealName = ".lampblack-sealed"

// ErrSealed is wrapped by the error of an edit of a sealed folder.
var ErrSealed = errors.New("the folder is sealed")

// seal is why a folder is not edited, but for some files.
type seal struct {
	why string
	but []string
}

func (s *seal) Error() string      { return s.why }
func (*seal) Is(target error) bool { return target == ErrSealed }

// Seal lets no edit be made in the folder from here on, whoever opens it, but of the files
// that are named: each other fails with why. It holds until [Folder.Unseal].
func (f *Folder) Seal(why string, but ...string) error {
	f.sealed = &seal{why, but}
	return f.writeOwn(sealName, []byte(strings.Join(append([]string{why}, but...), "\n")))
}

// Unseal lets edits be made by way of this opening of the folder.
func (f *Folder) Unseal() { f.sealed = nil }

// readSeal reads why the folder is sealed, if it is.
func (f *Folder) readSeal() error {
	const mostWhy = 4 << 10
	file, err := f.open(context.Background(), sealName, mostWhy)
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	if err != nil {
		return err
	}
	defer file.Close()
	text, err := file.all()
	if err == nil {
		lines := strings.Split(string(text), "\n")
		f.sealed = &seal{lines[0], lines[1:]}
	}
	return err
}

// allowed tells whether an edit may be made in spite of a seal.
func (e *Edit) allowed() error {
	s := e.folder.sealed
	if s == nil || !slices.ContainsFunc(e.changes, func(c change) bool { return !slices.Contains(s.but, c.name) }) {
		return nil
	}
	return fmt.Errorf("write into %s: %w", e.folder.dir, s)
}
