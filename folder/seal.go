package folder

import (
	"context"
	"errors"
	"io"
	"io/fs"
)

// sealName is the file that says why nothing is to be written into a folder.
const sealName = ".lampblack-sealed"

// ErrSealed is wrapped by the error of an edit of a sealed folder.
var ErrSealed = errors.New("the folder is sealed")

// sealed is why a folder is sealed, for a person.
type sealed string

func (s sealed) Error() string      { return string(s) }
func (sealed) Is(target error) bool { return target == ErrSealed }

// Seal lets no edit be made in the folder from here on, whoever opens it: each fails with
// why. It holds until [Folder.Unseal].
func (f *Folder) Seal(why string) error {
	f.sealed = sealed(why)
	write := func(w io.Writer) error { _, err := io.WriteString(w, why); return err }
	if _, err := f.writeNew(temp(sealName), 0, write); err != nil {
		return err
	}
	if err := f.try("rename", sealName); err != nil {
		return err
	}
	return f.root.Rename(temp(sealName), sealName)
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
	why, err := file.all()
	if err == nil {
		f.sealed = sealed(why)
	}
	return err
}
