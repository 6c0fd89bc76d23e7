package main

import (
	"bytes"
	"context"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"lampblack/bundle"
	"lampblack/check/checktest"
)

// A bundle whose label says another version, or another light, than comes out here, as when
// another Lampblack packed it: opening it says so, and verify does not call it the same.
func TestPackedElsewhere(t *testing.T) {
	t.Setenv("LAMPBLACK_CACHE", filepath.Join(t.TempDir(), "cache"))
	checktest.Coarse(t)
	dir := filepath.Join(t.TempDir(), "show")
	run := func(args ...string) (string, error) {
		c := root()
		var words bytes.Buffer
		c.SetOut(io.Discard)
		c.SetErr(&words)
		c.SetArgs(args)
		err := c.ExecuteContext(t.Context())
		return words.String(), err
	}
	if words, err := run("new", dir); err != nil {
		t.Fatal(err, words)
	}
	l, err := load(context.Background(), io.Discard, dir)
	if err != nil {
		t.Fatal(err)
	}
	defer l.close()
	honest, err := l.contents(t.Context(), io.Discard, packFlags{})
	if err != nil {
		t.Fatal(err)
	}
	if honest.Light, err = l.light(t.Context(), io.Discard); err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		name          string
		change        func(*bundle.Contents)
		opens, verify string
	}{
		{"as it is", func(*bundle.Contents) {}, "", ""},
		{"another version", func(c *bundle.Contents) { c.Version = "0123456789abcdef" }, "makes another show of the bundle", "the show is another: version"},
		{"another light", func(c *bundle.Contents) { c.Light = []bundle.Light{{Sum: strings.Repeat("0", 64)}} }, "", "other light comes out"},
		{"light of a piece that is not there", func(c *bundle.Contents) { c.Light = append(c.Light[:1:1], bundle.Light{Piece: "more", Sum: "00"}) }, "", "other light comes out than when the show was packed, in more"},
	} {
		contents := honest
		c.change(&contents)
		var b bytes.Buffer
		if err := bundle.Write(&b, contents); err != nil {
			t.Fatal(err)
		}
		file := filepath.Join(t.TempDir(), "show.zip")
		if err := os.WriteFile(file, b.Bytes(), 0o600); err != nil {
			t.Fatal(err)
		}
		words, err := run("check", file)
		if err != nil || strings.Contains(words, "makes another show") != (c.opens != "") || !strings.Contains(words, c.opens) {
			t.Errorf("%s: check: %v %q", c.name, err, words)
		}
		_, err = run("verify", file)
		if (err == nil) != (c.verify == "") || err != nil && !strings.Contains(err.Error(), c.verify) {
			t.Errorf("%s: verify: %v, want %q", c.name, err, c.verify)
		}
	}
}
