package folder

import (
	"context"
	"errors"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"syscall"
	"testing"
	"time"
)

// A pipe that nobody writes to is refused at once, wherever it lies.
func TestPipes(t *testing.T) {
	dir := t.TempDir()
	pipe := filepath.Join(dir, "pipe.yaml")
	if err := syscall.Mkfifo(pipe, 0o644); err != nil {
		t.Skip(err)
	}
	f, err := Open(t.Context(), dir)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	if _, err := f.ReadFile("pipe.yaml"); !errors.Is(err, ErrPlain) {
		t.Errorf("a pipe in the folder: %v", err)
	}
	if _, err := ReadFile(t.Context(), pipe, MaxText); !errors.Is(err, ErrPlain) {
		t.Errorf("a pipe that was named: %v", err)
	}
	if _, err := f.ReadDir("pipe.yaml"); !errors.Is(err, ErrFile) {
		t.Errorf("a pipe for a folder: %v", err)
	}
	ctx, cancel := context.WithTimeout(t.Context(), 50*time.Millisecond)
	defer cancel()
	if err := WriteFile(ctx, pipe, []byte("x")); !errors.Is(err, context.DeadlineExceeded) {
		t.Errorf("a pipe without a reader: %v", err)
	}
	if err := syscall.Mkfifo(filepath.Join(dir, journalName), 0o644); err != nil {
		t.Fatal(err)
	}
	if _, err := Open(t.Context(), dir); !errors.Is(err, ErrPlain) {
		t.Errorf("a pipe for a journal: %v", err)
	}
}

// A device is written to, not replaced by a file of its name. The devices are
// the test's own: a program that is wrong here must not take the machine's away.
func TestWriteToADevice(t *testing.T) {
	null, full := device(t, "null", 3), device(t, "full", 7)
	if err := WriteFile(t.Context(), null, []byte("x")); err != nil {
		t.Error(err)
	}
	if info, err := os.Stat(null); err != nil || info.Mode()&os.ModeDevice == 0 {
		t.Error("the device is gone")
	}
	if err := WriteFile(t.Context(), full, []byte("x")); !errors.Is(err, syscall.ENOSPC) {
		t.Errorf("a full disk: %v", err)
	}
}

// device makes a memory device of Linux (null(4), full(4)).
func device(t *testing.T, name string, minor int) string {
	t.Helper()
	name = filepath.Join(t.TempDir(), name)
	if err := syscall.Mknod(name, syscall.S_IFCHR|0o666, 1<<8|minor); err != nil {
		t.Skipf("left out: makes a device, which only root may: %v", err)
	}
	if f, err := os.OpenFile(name, os.O_WRONLY, 0); err != nil {
		t.Skipf("left out: no devices on this disk: %v", err)
	} else {
		f.Close()
	}
	return name
}

// A pipe with a reader gets the text whole.
func TestWriteToAPipe(t *testing.T) {
	pipe := filepath.Join(t.TempDir(), "pipe")
	if err := syscall.Mkfifo(pipe, 0o644); err != nil {
		t.Skip(err)
	}
	text := strings.Repeat("more than a pipe holds ", 10000)
	done := make(chan error, 1)
	go func() { done <- WriteFile(t.Context(), pipe, []byte(text)) }()
	if got, err := os.ReadFile(pipe); string(got) != text || err != nil {
		t.Errorf("%d bytes of %d came, %v", len(got), len(text), err)
	}
	if err := <-done; err != nil {
		t.Error(err)
	}
}

// While an edit is made, and afterwards, nobody but the owner may write what it
// makes, and nothing can be run (umask(2), 022 being usual).
func TestPermissions(t *testing.T) {
	defer syscall.Umask(syscall.Umask(0o022))
	dir := t.TempDir()
	f := open(t, dir)
	look := func() (seen []string) {
		_ = filepath.WalkDir(dir, func(name string, d os.DirEntry, _ error) error {
			info, err := os.Stat(name)
			want := os.FileMode(0o644)
			if d.IsDir() {
				want = 0o755
			}
			if err != nil || info.Mode().Perm() != want {
				t.Errorf("%s has %v, want %v (%v)", name, info.Mode().Perm(), want, err)
			}
			seen = append(seen, d.Name())
			return nil
		})
		return seen
	}
	e := f.Edit()
	e.Put("score.yaml", []byte("score"))
	e.Stream("sounds/one.wav", func(io.Writer) error {
		if seen := look(); !slices.Contains(seen, lockName) {
			t.Errorf("no lock in %v", seen)
		}
		return nil
	})
	if err := e.Commit(); err != nil {
		t.Fatal(err)
	}
	if err := WriteFile(t.Context(), filepath.Join(dir, "paper.html"), nil); err != nil {
		t.Fatal(err)
	}
	if a, err := Append(filepath.Join(dir, "log.jsonl")); err != nil || a.Close() != nil {
		t.Fatal(err)
	}
	made, err := Create(t.Context(), filepath.Join(dir, "made"))
	if err != nil {
		t.Fatal(err)
	}
	look()
	made.Close()
}
