package main

import (
	"archive/tar"
	"archive/zip"
	"bytes"
	"compress/gzip"
	"context"
	"errors"
	"io"
	"path"
	"strings"

	"lampblack/folder"
)

// programIn takes the program out of an archive of a release; nil where there is none.
// Nothing of an archive is written anywhere, whatever its names say.
func programIn(ctx context.Context, name string) ([]byte, error) {
	var read func(*folder.File) ([]byte, error)
	switch {
	case strings.HasSuffix(name, ".zip"):
		read = fromZip
	case strings.HasSuffix(name, ".tar.gz"):
		read = fromTar
	default:
		return nil, nil
	}
	file, err := folder.OpenFile(ctx, name, mostProgram)
	if err != nil {
		return nil, err
	}
	defer file.Close()
	data, err := read(file)
	if err != nil && ctx.Err() == nil {
		return nil, nil // an archive of something else, or a damaged one: the program is missed by name
	}
	return data, err
}

// isProgram tells by its name whether an entry may be the program.
func isProgram(name string) bool {
	base := path.Base(name)
	return base == "lampblack" || base == "lampblack.exe"
}

var errNoProgram = errors.New("there is no program in it")

func fromZip(file *folder.File) ([]byte, error) {
	info, err := file.Stat()
	if err != nil {
		return nil, err
	}
	z, err := zip.NewReader(file, info.Size())
	if err != nil {
		return nil, err
	}
	for _, f := range z.File {
		if !isProgram(f.Name) {
			continue
		}
		r, err := f.Open()
		if err != nil {
			return nil, err
		}
		defer r.Close()
		return bounded(r)
	}
	return nil, errNoProgram
}

func fromTar(file *folder.File) ([]byte, error) {
	z, err := gzip.NewReader(file)
	if err != nil {
		return nil, err
	}
	t := tar.NewReader(io.LimitReader(z, 2*mostProgram))
	for {
		h, err := t.Next()
		if err != nil {
			return nil, errors.Join(errNoProgram, err)
		}
		if h.Typeflag == tar.TypeReg && isProgram(h.Name) {
			return bounded(t)
		}
	}
}

// bounded reads a program whole; one that goes on for ever ends at its bound.
func bounded(r io.Reader) ([]byte, error) {
	var b bytes.Buffer
	n, err := io.Copy(&b, io.LimitReader(r, mostProgram+1))
	if err == nil && n > mostProgram {
		err = folder.TooLarge{Most: mostProgram}
	}
	return b.Bytes(), err
}
