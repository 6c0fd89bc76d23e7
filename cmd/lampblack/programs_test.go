package main

import (
	"archive/tar"
	"archive/zip"
	"compress/gzip"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// Programs are found by what they are, alone or in the archives of a release; what is no
// Lampblack is left, whatever it is called.
func TestPrograms(t *testing.T) {
	own, err := os.Executable()
	if err != nil {
		t.Skip(err)
	}
	data, err := os.ReadFile(own)
	if err != nil {
		t.Fatal(err)
	}
	for name, write := range map[string]func(w io.Writer){
		"lampblack-v1.zip": func(w io.Writer) {
			z := zip.NewWriter(w)
			e, _ := z.CreateHeader(&zip.FileHeader{Name: "lampblack-v1/lampblack", Method: zip.Store})
			_, _ = e.Write(data)
			z.Close()
		},
		"lampblack-v1.tar.gz": func(w io.Writer) {
			g, _ := gzip.NewWriterLevel(w, gzip.NoCompression)
			z := tar.NewWriter(g)
			for _, f := range []struct{ name, text string }{{"lampblack-v1/README.md", "x"}, {"../../lampblack", string(data)}} {
				_ = z.WriteHeader(&tar.Header{Name: f.name, Mode: 0o755, Size: int64(len(f.text)), Typeflag: tar.TypeReg})
				_, _ = io.WriteString(z, f.text)
			}
			z.Close()
			g.Close()
		},
		"damaged.tar.gz": func(w io.Writer) { _, _ = io.WriteString(w, "\x1f\x8b nothing") },
		"damaged.zip":    func(w io.Writer) { _, _ = io.WriteString(w, "PK\x03\x04") },
		"lampblack":      func(w io.Writer) { _, _ = io.WriteString(w, "#!/bin/sh\n") },
		"itself":         func(w io.Writer) { _, _ = w.Write(data) },
	} {
		dir := t.TempDir()
		f, err := os.Create(filepath.Join(dir, name))
		if err != nil {
			t.Fatal(err)
		}
		write(f)
		f.Close()
		var words strings.Builder
		got, err := packFlags{programs: dir}.gather(t.Context(), &words)
		if err != nil || len(got) != 1 || !strings.HasSuffix(got[0].Name, "/lampblack") && !strings.HasSuffix(got[0].Name, "/lampblack.exe") {
			t.Fatalf("%s: %v %v", name, got, err)
		}
		// This program itself comes after what the folder holds: is the one that is taken from there?
		s, err := program(t.Context(), filepath.Join(dir, name))
		if want := name == "itself" || strings.HasPrefix(name, "lampblack-v1"); err != nil || (s.Name != "") != want {
			t.Errorf("%s: %q, %v", name, s.Name, err)
		}
		if !strings.Contains(words.String(), "no program for") {
			t.Errorf("%s: nothing is said of the systems that are missed: %s", name, words.String())
		}
	}
}
