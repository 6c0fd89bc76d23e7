package main

import (
	"context"
	"errors"
	"fmt"
	"io/fs"

	"lampblack/folder"
)

// rewrite changes one file of a folder, whole or not at all.
func rewrite(ctx context.Context, dir, name string, with func([]byte) ([]byte, error)) (before, after []byte, err error) {
	f, err := folder.Open(ctx, dir)
	if err != nil {
		return nil, nil, err
	}
	defer f.Close()
	if before, err = f.ReadFile(name); err != nil {
		if errors.Is(err, fs.ErrNotExist) {
			err = fmt.Errorf("%s is missing from the show's folder", name)
		}
		return nil, nil, err
	}
	if after, err = with(before); err != nil {
		return nil, nil, err
	}
	e := f.Edit()
	e.Put(name, after)
	return before, after, unlessChanged(e.Commit())
}
