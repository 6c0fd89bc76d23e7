package main

import (
	"bytes"
	"context"
	"errors"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"lampblack/demo"
	"lampblack/folder"
	"lampblack/folder/foldertest"
)

// runHere runs a command in this process.
func runHere(ctx context.Context, args ...string) error {
	c := root()
	c.SetOut(io.Discard)
	c.SetErr(io.Discard)
	c.SetArgs(args)
	return c.ExecuteContext(ctx)
}

// Commands that write into a show's folder, or several files elsewhere, leave
// the whole old or the whole new state, whatever step fails. The steps of an
// edit are the same for all and are tried one by one below package folder; here
// each command goes through some of them.
func TestCommandsCutOff(t *testing.T) {
	t.Setenv("LAMPBLACK_CACHE", t.TempDir())
	stride, long := 29, os.Getenv("LAMPBLACK_LONG") != ""
	if long {
		stride = 2
	} else if testing.Short() {
		t.Skip("left out of short runs: loads shows many times")
	}
	show := func(dir string) {
		if err := demo.New(t.Context(), dir, "small"); err != nil {
			t.Fatal(err)
		}
	}
	stopped := func(dir string) { // units that share addresses: what mend helps
		show(dir)
		name := filepath.Join(dir, "rig.yaml")
		data, _ := os.ReadFile(name)
		if err := os.WriteFile(name, bytes.Replace(data, []byte("address: 11"), []byte("address: 5"), 1), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	small := filepath.Join(t.TempDir(), "small")
	show(small)
	desk := filepath.Join(t.TempDir(), "desk.yaml")
	if err := os.WriteFile(desk, []byte("name: small\nslots: 24\nscenes: 8\nrecalled by: [{note: 36, to: 43, channel: 1, scene: 1}]\n"), 0o644); err != nil {
		t.Fatal(err)
	}
	for name, c := range map[string]struct {
		prepare func(string)
		args    func(dir string) []string
		dear    bool
	}{
		"spotting": {show, func(dir string) []string { return []string{"spotting", dir, "--reject", "hit 0:04"} }, false},
		"remember": {show, func(dir string) []string { return []string{"retime", dir, "--remember"} }, false},
		"mend":     {stopped, func(dir string) []string { return []string{"check", dir, "--mend"} }, true},
		"picture": {func(string) {}, func(dir string) []string {
			return []string{"picture", small, "-o", dir, "--of", "gamut"}
		}, true},
		"desk": {func(string) {}, func(dir string) []string { return []string{"desk", small, desk, "-o", dir} }, true},
		"new":  {func(string) {}, func(dir string) []string { return []string{"new", dir, "--title", "x"} }, false},
	} {
		t.Run(name, func(t *testing.T) {
			if c.dear && !long {
				t.Skip("left out: solves the show at every step; LAMPBLACK_LONG=1 runs it")
			}
			foldertest.EveryStep(t, stride, c.prepare, func(ctx context.Context, dir string) error { return runHere(ctx, c.args(dir)...) })
		})
	}
}

// A person saves a file while a command computes from what it was: the person's
// text stays, the command says so and writes nothing; spotting, whose edit is
// as right after it as before, makes it on top.
func TestSavedMeanwhile(t *testing.T) {
	if testing.Short() {
		t.Skip("left out of short runs: solves a show")
	}
	t.Setenv("LAMPBLACK_CACHE", t.TempDir())
	for name, c := range map[string]struct {
		file string
		args func(dir string) []string
		ends bool // in order, in spite of it
	}{
		"draft":    {"draft.yaml", func(dir string) []string { return []string{"draft", dir} }, false},
		"retime":   {"room.yaml", func(dir string) []string { return []string{"retime", dir, filepath.Join(dir, "clicks.wav")} }, false},
		"spotting": {"spotting.yaml", func(dir string) []string { return []string{"spotting", dir, "--reject", "hit 0:04"} }, true},
	} {
		dir := filepath.Join(t.TempDir(), "show")
		if err := demo.New(t.Context(), dir, "small"); err != nil {
			t.Fatal(err)
		}
		saved := false
		ctx := folder.WithFaults(t.Context(), func(step, _ string) error {
			if step != "lock" || saved {
				return nil
			}
			saved = true
			text := map[string]string{"draft.yaml": "seed: 3   # by hand\n", "spotting.yaml": "decisions:\n  - {moment: hit 0:02, verdict: reject}   # by hand\n"}[c.file]
			if text == "" {
				data, _ := os.ReadFile(filepath.Join(dir, c.file))
				text = string(data) + "# by hand\n"
			}
			return os.WriteFile(filepath.Join(dir, c.file), []byte(text), 0o644)
		})
		before := foldertest.State(t, dir)
		err := runHere(ctx, c.args(dir)...)
		after := foldertest.State(t, dir)
		if !saved || !strings.Contains(after[c.file], "by hand") {
			t.Errorf("%s: what was saved is gone: %q", name, after[c.file])
		}
		if c.ends {
			if err != nil || !strings.Contains(after[c.file], "hit 0:04") {
				t.Errorf("%s: %v, %s", name, err, after[c.file])
			}
			continue
		}
		var h hinted
		if !errors.Is(err, folder.ErrChanged) || !errors.As(err, &h) {
			t.Errorf("%s: %v", name, err)
		}
		for file, was := range before {
			if file != c.file && after[file] != was {
				t.Errorf("%s wrote %s", name, file)
			}
		}
	}
}
