//go:build unix

package folder

import (
	"context"
	"errors"
	"os"
	"path/filepath"
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

// A device is written to, not replaced by a file of its name.
func TestWriteToADevice(t *testing.T) {
	if err := WriteFile(t.Context(), "/dev/null", []byte("x")); err != nil {
		t.Error(err)
	}
	if info, err := os.Stat("/dev/null"); err != nil || info.Mode()&os.ModeDevice == 0 {
		t.Fatal("the null device is gone")
	}
	if _, err := os.Stat("/dev/full"); err == nil {
		if err := WriteFile(t.Context(), "/dev/full", []byte("x")); !errors.Is(err, syscall.ENOSPC) {
			t.Errorf("a full disk: %v", err)
		}
	}
}
