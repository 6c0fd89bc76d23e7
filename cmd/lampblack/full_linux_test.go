package main

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"

	"lampblack/demo"
	"lampblack/folder/foldertest"
	"lampblack/play/journal"
)

// On a disk that is full every command that writes ends with status 2, says
// nothing of having written, and leaves what was there as it was.
func TestFullDisk(t *testing.T) {
	if os.Geteuid() != 0 {
		t.Skip("left out: mounts a small disk, which only root may")
	}
	t.Setenv("LAMPBLACK_CACHE", t.TempDir())
	disk := t.TempDir()
	if err := syscall.Mount("tmpfs", disk, "tmpfs", 0, "size=8m"); err != nil {
		t.Skipf("left out: no small disk: %v", err)
	}
	t.Cleanup(func() { _ = syscall.Unmount(disk, syscall.MNT_DETACH) })
	dir := filepath.Join(disk, "show")
	if err := demo.New(t.Context(), dir, "small"); err != nil {
		t.Fatal(err)
	}
	fill(t, filepath.Join(disk, "filler"))
	before := foldertest.State(t, disk)
	other := filepath.Join(t.TempDir(), "other.wav")
	sound, _ := os.ReadFile(filepath.Join(dir, "clicks.wav"))
	if err := os.WriteFile(other, sound, 0o644); err != nil {
		t.Fatal(err)
	}
	for _, args := range [][]string{
		{"new", filepath.Join(disk, "second")},
		{"demo", "--write", filepath.Join(disk, "demo")},
		{"spotting", dir, "--reject", "hit 0:04"},
		{"retime", dir, "--remember"},
		{"retime", dir, other},
		{"draft", dir},
		{"listen", other, "--picture", filepath.Join(disk, "out.svg")},
		{"picture", dir, "--of", "gamut", "-o", filepath.Join(disk, "pictures")},
	} {
		var words bytes.Buffer
		c := root()
		c.SetOut(&words)
		c.SetErr(&words)
		c.SetArgs(args)
		err := c.ExecuteContext(t.Context())
		if status := report(&words, err); status != exitFailed {
			t.Errorf("%v: exit status %d\n%s", args, status, &words)
		}
		for _, word := range []string{"wrote", "drafted", "cut-cues", ".svg\n"} {
			if strings.Contains(words.String(), word) {
				t.Errorf("%v says %s:\n%s", args, word, &words)
			}
		}
		if !strings.Contains(words.String(), "no space left on device") {
			t.Errorf("%v does not say why:\n%s", args, &words)
		}
		for name, was := range before {
			if got := foldertest.State(t, disk)[name]; got != was {
				t.Errorf("%v changed %s", args, name)
			}
		}
		if got := foldertest.State(t, disk); len(got) != len(before) {
			t.Errorf("%v left %d files, there were %d", args, len(got), len(before))
		}
		if h := foldertest.Hidden(t, disk); len(h) > 0 {
			t.Errorf("%v left %v", args, h)
		}
	}
}

// fill takes all room that is left.
func fill(t *testing.T, name string) {
	t.Helper()
	f, err := os.Create(name)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	block := make([]byte, 4096)
	for range 1 << 16 {
		if _, err := f.Write(block); err != nil {
			return
		}
	}
	t.Skip("the disk does not become full")
}

// A journal on a full disk is told, and what happened meanwhile is written when there is room.
func TestJournalOnFullDisk(t *testing.T) {
	if os.Geteuid() != 0 {
		t.Skip("left out: mounts a small disk, which only root may")
	}
	disk := t.TempDir()
	if err := syscall.Mount("tmpfs", disk, "tmpfs", 0, "size=64k"); err != nil {
		t.Skipf("left out: no small disk: %v", err)
	}
	t.Cleanup(func() { _ = syscall.Unmount(disk, syscall.MNT_DETACH) })
	name := filepath.Join(disk, "night.jsonl")
	j := journal.Open(journalFile(t.Context(), name))
	j.Add(cueOf("first"))
	eventually(t, "the first", func() bool { return cuesOf(t, name) == "first" })
	fill(t, filepath.Join(disk, "filler"))
	want := "first"
	for i := range 60 { // more than the rest of the file's last page holds
		j.Add(cueOf(fmt.Sprint(i)))
		want += fmt.Sprint(" ", i)
	}
	eventually(t, "told", func() bool { return len(unwritten(j)) == 1 })
	if w := unwritten(j)[0]; !strings.Contains(w.Text, "no space left on device") {
		t.Errorf("%+v", w)
	}
	if err := os.Remove(filepath.Join(disk, "filler")); err != nil {
		t.Fatal(err)
	}
	eventually(t, "all is there", func() bool { return cuesOf(t, name) == want && len(unwritten(j)) == 0 })
	if err := j.Close(); err != nil {
		t.Error(err)
	}
}
