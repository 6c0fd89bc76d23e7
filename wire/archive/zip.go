package archive

import (
	"archive/zip"
	"bytes"
	"fmt"
	"io"
	"path"
	"strings"
)

// mostFiles bounds the files of an archive: a scene of a thousand fixture types and their
// models has fewer.
const mostFiles = 4096

// File is one file of an archive.
type File struct {
	Name    string
	Content []byte
}

// Unpack returns the wanted files of an archive, by name; of two of one name the later
// counts. The names of the others are returned too. Nothing is written anywhere, and of all
// wanted files together at most that many octets are unpacked: more is an error, whatever
// sizes the archive itself declares.
func Unpack(b []byte, wanted func(name string) bool, most int64) (files map[string][]byte, others []string, err error) {
	// The reader would take memory for every entry of the directory; each begins with this
	// (APPNOTE 4.3.12).
	if n := bytes.Count(b, []byte("PK\x01\x02")); n > mostFiles {
		return nil, nil, fmt.Errorf("archive: got %d files, want at most %d", n, mostFiles)
	}
	z, err := zip.NewReader(bytes.NewReader(b), int64(len(b)))
	if err != nil {
		return nil, nil, fmt.Errorf("archive: %w", err)
	}
	files = map[string][]byte{}
	for _, f := range z.File {
		if leaves(f.Name) {
			return nil, nil, fmt.Errorf("archive: got a file %q, whose name leads out of the archive", f.Name)
		}
		if !wanted(f.Name) {
			others = append(others, f.Name)
			continue
		}
		content, err := readFile(f, most)
		if err != nil {
			return nil, nil, fmt.Errorf("archive: file %q: %w", f.Name, err)
		}
		most -= int64(len(content))
		files[f.Name] = content
	}
	return files, others, nil
}

// leaves tells whether a name would lead out of a folder that the archive were unpacked in,
// on any system.
func leaves(name string) bool {
	plain := strings.ReplaceAll(name, `\`, "/")
	drive := len(plain) > 1 && plain[1] == ':'
	return strings.HasPrefix(plain, "/") || drive || strings.HasPrefix(path.Clean(plain), "../") || path.Clean(plain) == ".."
}

// readFile unpacks a file, but not a bomb.
func readFile(f *zip.File, most int64) ([]byte, error) {
	r, err := f.Open()
	if err != nil {
		return nil, err
	}
	defer r.Close()
	b, err := io.ReadAll(io.LimitReader(r, most+1))
	if err == nil && int64(len(b)) > most {
		err = fmt.Errorf("got more than %d octets unpacked", most)
	}
	return b, err
}

// Pack appends an archive of the files to b. They are stored, without a time: compression
// and clocks differ from machine to machine.
func Pack(b []byte, files []File) ([]byte, error) {
	out := bytes.NewBuffer(b)
	z := zip.NewWriter(out)
	// Offsets in an archive count from the start of the file, and b may hold something.
	z.SetOffset(int64(len(b)))
	for _, f := range files {
		w, err := z.CreateHeader(&zip.FileHeader{Name: f.Name, Method: zip.Store})
		if err == nil {
			_, err = w.Write(f.Content)
		}
		if err != nil {
			return nil, fmt.Errorf("write %s: %w", f.Name, err)
		}
	}
	if err := z.Close(); err != nil {
		return nil, fmt.Errorf("write archive: %w", err)
	}
	return out.Bytes(), nil
}
