package demo

import (
	"bytes"
	"context"
	"errors"
	"os"
	"path/filepath"
	"testing"

	"lampblack/folder/foldertest"
	"lampblack/soundfile"
)

func TestWriteAndWriteAgain(t *testing.T) {
	if testing.Short() {
		t.Skip("left out: synthesises seven minutes")
	}
	dir := filepath.Join(t.TempDir(), "not", "there yet")
	last := 0.0
	if err := Fish.Write(t.Context(), dir, func(done float64) { last = done }); err != nil {
		t.Fatal(err)
	}
	if last != 1 {
		t.Errorf("progress ended at %v", last)
	}
	s, err := soundfile.OpenFile(t.Context(), filepath.Join(dir, Fish.sounds[0].file))
	if err != nil {
		t.Fatal(err)
	}
	f := s.Format()
	s.Close()
	if f.Rate != 44100 || f.Channels != 2 || f.Bits != 16 {
		t.Errorf("the soundtrack is %+v", f)
	}
	last = 0
	if err := Fish.Write(t.Context(), dir, func(done float64) { last = done }); err != nil || last != 0 {
		t.Errorf("written again: %v, and the soundtrack was made anew: %v", err, last != 0)
	}
	if left, _ := filepath.Glob(filepath.Join(dir, ".*")); len(left) > 0 {
		t.Errorf("left behind: %v", left)
	}
}

func TestFoldersWithOtherThingsAreRefused(t *testing.T) {
	for name, spoil := range map[string]func(dir string) error{
		"a stranger's file":   func(dir string) error { return os.WriteFile(filepath.Join(dir, "letter.txt"), nil, 0o644) },
		"a stranger's folder": func(dir string) error { return os.Mkdir(filepath.Join(dir, "photos"), 0o755) },
		"a changed score":     func(dir string) error { return os.WriteFile(filepath.Join(dir, "score.yaml"), []byte("mine"), 0o644) },
		"another lamp": func(dir string) error {
			os.Mkdir(filepath.Join(dir, "fixtures"), 0o755)
			return os.WriteFile(filepath.Join(dir, "fixtures", "mine.yaml"), nil, 0o644)
		},
	} {
		dir := t.TempDir()
		if err := spoil(dir); err != nil {
			t.Fatal(err)
		}
		before, _ := os.ReadDir(dir)
		for _, err := range []error{Fish.Write(t.Context(), dir, nil), New(t.Context(), dir, "x")} {
			if !errors.Is(err, ErrOccupied) {
				t.Errorf("%s: %v", name, err)
			}
		}
		if after, _ := os.ReadDir(dir); len(after) != len(before) {
			t.Errorf("%s: something was written", name)
		}
	}
	file := filepath.Join(t.TempDir(), "file")
	os.WriteFile(file, nil, 0o644)
	if err := Fish.Write(t.Context(), file, nil); err == nil {
		t.Error("a file was taken for a folder")
	}
}

// A new show is there whole or not at all, whatever step of writing it fails.
func TestFaultAtEveryStep(t *testing.T) {
	stride := 53
	if os.Getenv("LAMPBLACK_LONG") != "" {
		stride = 1
	}
	foldertest.EveryStep(t, stride, func(string) {}, func(ctx context.Context, dir string) error { return New(ctx, dir, "x") })
}

func TestTitles(t *testing.T) {
	for _, title := range []string{"", `The "Grey" Goose: a play`, "Ярмарка # 2", "tab\tand\nline"} {
		dir := filepath.Join(t.TempDir(), "goose")
		if err := New(t.Context(), dir, title); err != nil {
			t.Fatal(err)
		}
		bill := readShow(t, os.DirFS(dir)).Bill
		if title == "" {
			title = "goose"
		}
		if bill.Title != title {
			t.Errorf("title %q came back as %q", title, bill.Title)
		}
		data, err := os.ReadFile(filepath.Join(dir, startSound))
		if err != nil || !bytes.HasPrefix(data, []byte("RIFF")) {
			t.Errorf("no click track: %v", err)
		}
	}
}
