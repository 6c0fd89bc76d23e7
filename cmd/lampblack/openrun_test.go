package main

import (
	"io"
	"net/http"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
	"time"
)

// A run is begun from a book, in a process of its own whose pages answer, and ended; a show that cannot
// run says why.
func TestRunFromTheBook(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("ending a run softly is not to be had here")
	}
	t.Setenv("LAMPBLACK_TEST_COMMAND", "yes")
	t.Setenv("LAMPBLACK_TEST_COARSE", "yes")
	t.Setenv("XDG_STATE_HOME", t.TempDir())
	t.Setenv("XDG_CACHE_HOME", t.TempDir())
	dir := t.TempDir()
	for name, text := range map[string]string{
		"rig.yaml":   "units:\n  - {unit: left, type: colour par, address: 1, at: [-2 m, -1 m, 3 m], aim: [0 m, 2 m, 1 m], systems: front}\n",
		"score.yaml": "looks:\n  warm: {level: 60 %}\n  cold: {level: 10 %}\ncues:\n  - {cue: 1, at: 0:00, look: warm}\n  - {cue: 2, at: 5:00, look: cold}\n",
	} {
		if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	n := &nightly{dir: dir, words: io.Discard}
	link, err := n.Begin(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	if now := n.Now(); !now.On || now.Link != link || !strings.Contains(link, "/night#key=") {
		t.Errorf("it is %+v, and began at %s", now, link)
	}
	if _, err := n.Begin(t.Context()); err != errRuns {
		t.Errorf("a second run: %v", err)
	}
	r, err := http.Get(strings.Split(link, "#")[0])
	if err != nil || r.StatusCode != 200 {
		t.Fatalf("its Night page: %v, %v", r, err)
	}
	r.Body.Close()
	begun := time.Now()
	if err := n.End(); err != nil {
		t.Fatal(err)
	}
	t.Logf("it ended in %.1f s", time.Since(begun).Seconds())
	if now := n.Now(); now.On || now.Link != "" {
		t.Errorf("over, it is %+v", now)
	}
	if err := os.WriteFile(dir+"/score.yaml", []byte("looks: {a: {level: 200 %}}\n"), 0o644); err != nil {
		t.Fatal(err)
	}
	if _, err := n.Begin(t.Context()); err == nil || !strings.Contains(err.Error(), "the run did not begin") || !strings.Contains(err.Error(), "score.yaml") {
		t.Errorf("a show that cannot run: %v", err)
	}
}
