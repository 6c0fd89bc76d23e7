package begin

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"unicode"

	"lampblack/folder"
	"lampblack/ledger"
	"lampblack/show"
)

// Why a folder is none for a new show.
var (
	ErrShow  = errors.New("there is a show in this folder already")
	ErrOther = errors.New("there is something else in this folder already")
)

// FolderName holds a name to what a folder can be called everywhere.
func FolderName(name string) error {
	odd := strings.IndexFunc(name, func(r rune) bool { return !unicode.IsPrint(r) || strings.ContainsRune(`/\:*?"<>|`, r) }) >= 0
	if name == "" || odd || len(name) > 80 || strings.HasPrefix(name, ".") || strings.HasSuffix(name, ".") || strings.TrimSpace(name) != name {
		return Unfit{fmt.Sprintf("a folder cannot be called %q: letters, figures, blanks and hyphens, at most 80", name)}
	}
	return nil
}

// New begins a show in a folder that is not there yet, or is empty, with the answer to the first
// question.
func New(ctx context.Context, dir, who string, a What) error {
	if err := Free(dir); err != nil {
		return err
	}
	if named(a.Title) == "" {
		return Unfit{"a show wants a title, if only for now"}
	}
	f, err := folder.Create(ctx, dir)
	if err != nil {
		return fmt.Errorf("begin a show: %w", err)
	}
	defer f.Close()
	if _, err := ledger.Note(ctx, dir, who, ""); err != nil {
		return err
	}
	_, err = ledger.Make(ctx, dir, who, func(t *ledger.Texts) (string, error) {
		if t.Read(show.BillFile) != nil {
			return "", ErrShow
		}
		w := writer{pen: &pen{t: t}, dir: f, was: read(f, t)}
		w.what(a)
		return "a new show", w.err
	})
	return err
}

// Free tells whether a show may be begun in a folder: it is not there yet, or empty.
func Free(dir string) error {
	entries, err := os.ReadDir(dir)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil
	case err != nil:
		return Unfit{"this is no folder that can be read: " + reason(err)}
	}
	for _, e := range entries {
		if e.Name() == show.BillFile || e.Name() == show.RigFile {
			return ErrShow
		}
		if !strings.HasPrefix(e.Name(), ".") {
			return ErrOther
		}
	}
	return nil
}

// IsShow tells whether a folder holds a show, be it a beginning of one.
func IsShow(dir string) bool {
	for _, name := range []string{show.BillFile, show.RigFile} {
		if info, err := os.Stat(filepath.Join(dir, name)); err == nil && info.Mode().IsRegular() {
			return true
		}
	}
	return false
}

// reason is the innermost text of an error about a file.
func reason(err error) string {
	var path *fs.PathError
	if errors.As(err, &path) {
		return path.Err.Error()
	}
	return err.Error()
}
