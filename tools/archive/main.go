// Archive packs files into a .tar.gz or .zip whose bytes depend on their names,
// modes and contents alone: entries in order of name, no owners, one date.
//
//	go run -C tools ./archive OUT.tar.gz FOLDER
package main

import (
	"archive/tar"
	"archive/zip"
	"compress/gzip"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"time"
)

// date stands for all dates: the first that a zip file can hold.
var date = time.Date(1980, 1, 1, 0, 0, 0, 0, time.UTC)

func main() {
	if len(os.Args) != 3 {
		fmt.Fprintln(os.Stderr, "usage: archive OUT.tar.gz|OUT.zip FOLDER")
		os.Exit(2)
	}
	if err := pack(os.Args[1], os.Args[2]); err != nil {
		fmt.Fprintln(os.Stderr, "archive:", err)
		os.Exit(1)
	}
}

func pack(out, folder string) error {
	f, err := os.Create(out)
	if err != nil {
		return err
	}
	defer f.Close()
	write := tarred
	if strings.HasSuffix(out, ".zip") {
		write = zipped
	}
	if err := write(f, folder); err != nil {
		return err
	}
	return f.Close()
}

// each calls for every file below the folder, in order, with its name under
// the folder's own.
func each(folder string, do func(name string, mode fs.FileMode, data []byte) error) error {
	top := filepath.Base(folder)
	return filepath.WalkDir(folder, func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		info, err := d.Info()
		if err != nil {
			return err
		}
		data, err := os.ReadFile(path)
		if err != nil {
			return err
		}
		rest, err := filepath.Rel(folder, path)
		if err != nil {
			return err
		}
		mode := fs.FileMode(0o644)
		if info.Mode()&0o100 != 0 {
			mode = 0o755
		}
		return do(filepath.ToSlash(filepath.Join(top, rest)), mode, data)
	})
}

func tarred(w io.Writer, folder string) error {
	z, _ := gzip.NewWriterLevel(w, gzip.BestCompression)
	t := tar.NewWriter(z)
	err := each(folder, func(name string, mode fs.FileMode, data []byte) error {
		h := &tar.Header{Name: name, Mode: int64(mode), Size: int64(len(data)), ModTime: date, Typeflag: tar.TypeReg, Format: tar.FormatUSTAR}
		if err := t.WriteHeader(h); err != nil {
			return err
		}
		_, err := t.Write(data)
		return err
	})
	if err != nil {
		return err
	}
	if err := t.Close(); err != nil {
		return err
	}
	return z.Close()
}

func zipped(w io.Writer, folder string) error {
	z := zip.NewWriter(w)
	err := each(folder, func(name string, mode fs.FileMode, data []byte) error {
		h := &zip.FileHeader{Name: name, Method: zip.Deflate, Modified: date}
		h.SetMode(mode)
		e, err := z.CreateHeader(h)
		if err != nil {
			return err
		}
		_, err = e.Write(data)
		return err
	})
	if err != nil {
		return err
	}
	return z.Close()
}
