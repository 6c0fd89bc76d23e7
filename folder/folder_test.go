package folder

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"testing/fstest"
)

func open(t *testing.T, dir string) *Folder {
	t.Helper()
	f, err := Open(t.Context(), dir)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { f.Close() })
	return f
}

// A folder is a file system to whatever reads one: what that means is checked by
// the standard library (testing/fstest). Its ReadFile is for names that people
// write, as fixtures/./par.yaml, which a file system has to refuse.
func TestFileSystem(t *testing.T) {
	dir := t.TempDir()
	write(t, dir, map[string]string{"score.yaml": "score", "empty.yaml": "", "fixtures/par.yaml": "par"})
	if err := fstest.TestFS(struct{ fs.FS }{open(t, dir)}, "score.yaml", "empty.yaml", "fixtures/par.yaml"); err != nil {
		t.Error(err)
	}
}

// A list of files is by name, without what is hidden, as ls(1) has it; an empty
// folder is an empty list, and one of more files than any show has is refused.
func TestReadDir(t *testing.T) {
	dir := t.TempDir()
	write(t, dir, map[string]string{"fixtures/b.yaml": "", "fixtures/a.yaml": "", "fixtures/.swap": "", "fixtures/c/d.yaml": ""})
	if err := os.Mkdir(filepath.Join(dir, "empty"), 0o755); err != nil {
		t.Fatal(err)
	}
	f := open(t, dir)
	for name, want := range map[string]string{"fixtures": "a.yaml b.yaml c", "empty": "", ".": "empty fixtures"} {
		list, err := f.ReadDir(name)
		var names []string
		for _, e := range list {
			names = append(names, e.Name())
		}
		if got := strings.Join(names, " "); got != want || err != nil {
			t.Errorf("%s holds %q, want %q (%v)", name, got, want, err)
		}
	}
	for name, want := range map[string]error{"nowhere": fs.ErrNotExist, "fixtures/a.yaml": ErrFile} {
		if _, err := f.ReadDir(name); !errors.Is(err, want) {
			t.Errorf("%s: %v, want %v", name, err, want)
		}
	}
}

func TestReadDirOfTooMany(t *testing.T) {
	dir := t.TempDir()
	for i := range 5000 {
		if err := os.Link(filepath.Join(dir, "0"), filepath.Join(dir, fmt.Sprint(i))); i > 0 && err == nil {
			continue
		}
		if err := os.WriteFile(filepath.Join(dir, fmt.Sprint(i)), nil, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	f := open(t, dir)
	if list, err := f.ReadDir("."); len(list) != 5000 || err != nil {
		t.Errorf("of 5000 files %d are listed, %v", len(list), err)
	}
	write(t, dir, map[string]string{"one more": ""})
	if list, err := f.ReadDir("."); err == nil || !strings.Contains(err.Error(), "more than 5000 files") {
		t.Errorf("of 5001 files %d are listed, %v", len(list), err)
	}
}

// The path of a file is given to other programs, so that it must be a plain file
// inside the folder.
func TestPath(t *testing.T) {
	dir := t.TempDir()
	write(t, dir, map[string]string{"sounds/one.wav": "sound"})
	if err := os.Symlink("/dev/null", filepath.Join(dir, "null.wav")); err != nil {
		t.Skip(err)
	}
	f := open(t, dir)
	if got, err := f.Path("sounds/one.wav"); err != nil || got != filepath.Join(dir, "sounds", "one.wav") {
		t.Errorf("%s, %v", got, err)
	}
	for _, name := range []string{"sounds", "none.wav", "null.wav", "../one.wav"} {
		if got, err := f.Path(name); err == nil {
			t.Errorf("%s has the path %s", name, got)
		}
	}
}

// A day of stereo at 48 kHz in 24 bits fits what a sound file may be, and the
// bound that is named is the bound.
func TestSoundBound(t *testing.T) {
	name := filepath.Join(t.TempDir(), "long.wav")
	const day = 24 * 3600 * 48000 * 2 * 3
	for size, fits := range map[int64]bool{day: true, 32 << 30: true, 32<<30 + 1: false} {
		file, err := os.Create(name)
		if err != nil || file.Truncate(size) != nil {
			t.Skip("no sparse files here")
		}
		file.Close()
		f, err := OpenFile(t.Context(), name, MaxSound)
		if fits && err != nil || !fits && (err == nil || !strings.Contains(err.Error(), "larger than 32 GiB")) {
			t.Errorf("%d bytes: %v", size, err)
		}
		if err == nil {
			f.Close()
		}
	}
}

// A file that grows while it is read stays inside its bound, to the byte.
func TestGrowsMeanwhile(t *testing.T) {
	name := filepath.Join(t.TempDir(), "a.txt")
	for text, fits := range map[string]bool{"four": true, "fiver": false} {
		if err := os.WriteFile(name, []byte("4"), 0o644); err != nil {
			t.Fatal(err)
		}
		f, err := OpenFile(t.Context(), name, 4)
		if err != nil {
			t.Fatal(err)
		}
		defer f.Close()
		if err := os.WriteFile(name, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
		data, err := f.all()
		if fits && (err != nil || string(data) != text) || !fits && !errors.Is(err, TooLarge{4}) {
			t.Errorf("%q of at most 4 bytes: %q, %v", text, data, err)
		}
	}
}

// A folder that was made for an edit is gone when nothing came into it, with
// those that it lies in, and stays otherwise.
func TestCreate(t *testing.T) {
	top := t.TempDir()
	dir := filepath.Join(top, "shows", "tonight")
	for _, kept := range []bool{false, true} {
		f, err := Create(t.Context(), dir)
		if err != nil {
			t.Fatal(err)
		}
		if f.Dir() != dir {
			t.Errorf("it lies in %s", f.Dir())
		}
		if kept {
			e := f.Edit()
			e.Put("show.yaml", []byte("show"))
			if err := e.Commit(); err != nil {
				t.Fatal(err)
			}
		}
		if err := f.Close(); err != nil {
			t.Error(err)
		}
		list, err := os.ReadDir(top)
		if (len(list) > 0) != kept || err != nil {
			t.Errorf("with a file in it %v: %v, %v", kept, list, err)
		}
	}
	// It was there before, and is not taken away.
	f, err := Create(t.Context(), top)
	if err != nil {
		t.Fatal(err)
	}
	f.Close()
	if got := state(t, top)["shows/tonight/show.yaml"]; got != "show" {
		t.Errorf("the file holds %q", got)
	}
	if _, err := Create(t.Context(), filepath.Join(top, "shows", "tonight", "show.yaml")); err == nil {
		t.Error("a file passed for a folder")
	}
}

// An edit of too many files is refused whole, one of as many as may be is made
// as far as its contents can be had.
func TestMostChanges(t *testing.T) {
	dir := t.TempDir()
	f := open(t, dir)
	for n, want := range map[int]string{2000: errDisk.Error(), 2001: "2001 files are more than the 2000"} {
		e := f.Edit()
		for i := range n {
			e.Stream(fmt.Sprintf("%d.yaml", i), func(io.Writer) error { return errDisk })
		}
		if err := e.Commit(); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%d files: %v, want %s", n, err, want)
		}
		if got := state(t, dir); len(got) > 0 || len(hidden(t, dir)) > 0 {
			t.Errorf("%d files: left %d and %v", n, len(got), hidden(t, dir))
		}
	}
	if err := f.Edit().Commit(); err != nil {
		t.Errorf("an edit of nothing: %v", err)
	}
}

// What is put last is what is written, and a second edit reads what the first
// one wrote.
func TestEditsInTurn(t *testing.T) {
	dir := t.TempDir()
	f := open(t, dir)
	for _, text := range []string{"one", "two"} {
		if _, err := f.Optional("score.yaml"); err != nil {
			t.Fatal(err)
		}
		e := f.Edit()
		e.Put("score.yaml", []byte("not this"))
		e.Put("score.yaml", []byte(text))
		e.Put("gone.yaml", nil)
		e.Remove("gone.yaml")
		if err := e.Commit(); err != nil {
			t.Fatal(err)
		}
		if got, err := f.ReadFile("score.yaml"); string(got) != text || err != nil {
			t.Errorf("it reads %q, %v", got, err)
		}
		if got := state(t, dir); len(got) != 1 {
			t.Errorf("it holds %v", got)
		}
	}
}
