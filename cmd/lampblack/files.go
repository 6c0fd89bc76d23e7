package main

import (
	"context"
	"errors"
	"path/filepath"
	"slices"

	"lampblack/folder"
	"lampblack/source"
)

// namedFile is a file that was made and is not yet written.
type namedFile struct {
	name string
	data []byte
}

// writeAll writes files into a folder, which is made when it is not there: all of them
// or none. Names from the show's files get into texts; those that a terminal may show
// are made visible, which the others, read by programs, must not be.
func writeAll(ctx context.Context, dir string, files []namedFile) error {
	f, err := folder.Create(ctx, dir)
	if err != nil {
		return err
	}
	defer f.Close()
	e := f.Edit()
	for _, file := range files {
		if slices.Contains([]string{".txt", ".csv"}, filepath.Ext(file.name)) { // which a terminal may show
			file.data = []byte(source.VisibleLines(string(file.data)))
		}
		e.Put(file.name, file.data)
	}
	return e.Commit()
}

// unlessChanged says what to do when somebody else was faster.
func unlessChanged(err error) error {
	if errors.Is(err, folder.ErrChanged) {
		return hinted{err, "nothing was written; run the command again"}
	}
	return err
}
