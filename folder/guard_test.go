package folder

import (
	"context"
	"errors"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

func TestGuardedReads(t *testing.T) {
	dir := t.TempDir()
	write(t, dir, map[string]string{"good.yaml": "good", "sub/x.yaml": "x"})
	write(t, filepath.Dir(dir), map[string]string{"outside.yaml": "secret"})
	for link, to := range map[string]string{"inside.yaml": "good.yaml", "outside.yaml": "../outside.yaml", "absolute.yaml": filepath.Join(filepath.Dir(dir), "outside.yaml"), "zero.yaml": "/dev/zero"} {
		if err := os.Symlink(to, filepath.Join(dir, link)); err != nil {
			t.Skip(err)
		}
	}
	huge, err := os.Create(filepath.Join(dir, "huge.yaml"))
	if err != nil || huge.Truncate(1<<40) != nil {
		t.Skip("no sparse files here")
	}
	huge.Close()
	f, err := Open(t.Context(), dir)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	for name, want := range map[string]string{
		"good.yaml": "", "inside.yaml": "", "sub/x.yaml": "",
		"sub": "folder", "huge.yaml": "larger than 8 MiB", "outside.yaml": "escapes", "absolute.yaml": "escapes", "zero.yaml": "escapes", "../outside.yaml": "",
	} {
		_, err := f.ReadFile(name)
		if name == "../outside.yaml" {
			want = "escapes"
		}
		if want == "" && err != nil || want != "" && (err == nil || !strings.Contains(err.Error(), want)) {
			t.Errorf("%s: got %v, want %q", name, err, want)
		}
		if _, err := fs.ReadFile(f, name); want == "" && err != nil || want != "" && err == nil {
			t.Errorf("%s as of a file system: got %v, want %q", name, err, want)
		}
	}
	for most, fits := range map[int64]bool{3: false, 4: true} {
		if f, err := OpenFile(t.Context(), filepath.Join(dir, "good.yaml"), most); (err == nil) != fits {
			t.Errorf("four bytes of at most %d: %v", most, err)
		} else if err == nil {
			f.Close()
		}
	}
	if _, err := OpenFile(t.Context(), filepath.Join(dir, "zero.yaml"), MaxSound); !errors.Is(err, ErrPlain) {
		t.Errorf("a device by way of a link: %v", err)
	}
}

// A read ends when its context does, however long its file is.
func TestReadEnds(t *testing.T) {
	name := filepath.Join(t.TempDir(), "long.wav")
	file, err := os.Create(name)
	if err != nil || file.Truncate(MaxSound) != nil {
		t.Skip("no sparse files here")
	}
	file.Close()
	ctx, cancel := context.WithCancel(t.Context())
	f, err := OpenFile(ctx, name, MaxSound)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	time.AfterFunc(10*time.Millisecond, cancel)
	if n, err := io.Copy(io.Discard, f); !errors.Is(err, context.Canceled) {
		t.Errorf("read %d bytes, %v", n, err)
	}
	if n, err := f.ReadAt(make([]byte, 1), 0); !errors.Is(err, context.Canceled) {
		t.Errorf("read %d bytes at a place, %v", n, err)
	}
}

// One file is written whole or not at all, and keeps its permissions.
func TestWriteFile(t *testing.T) {
	dir := t.TempDir()
	name := filepath.Join(dir, "a.txt")
	if err := os.WriteFile(name, []byte("old"), 0o640); err != nil {
		t.Fatal(err)
	}
	ctx := WithFaults(t.Context(), func(string, string) error { return errDisk })
	if err := WriteFile(ctx, name, []byte("new")); !errors.Is(err, errDisk) || state(t, dir)["a.txt"] != "old" {
		t.Errorf("%v, %v", err, state(t, dir))
	}
	if err := WriteFile(t.Context(), name, []byte("new")); err != nil || state(t, dir)["a.txt"] != "new" {
		t.Errorf("%v, %v", err, state(t, dir))
	}
	if info, _ := os.Stat(name); info.Mode().Perm() != 0o640 {
		t.Errorf("permissions became %v", info.Mode())
	}
	if h := hidden(t, dir); len(h) > 0 {
		t.Errorf("left %v", h)
	}
	if err := WriteFile(t.Context(), dir, nil); !errors.Is(err, ErrFolder) {
		t.Errorf("a folder: %v", err)
	}
}
