package hand_test

import (
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"testing"
	"time"

	"lampblack/play/hand"
)

// inFolder is a hand over the barn that keeps a folder's tonight.yaml, and has been given an order.
func inFolder(t *testing.T, dir string) *hand.Hand {
	t.Helper()
	h, changes, err := hand.New(solved(t).Alone(nil), hand.State{}, hand.Options{Dir: dir,
		Clock: func() time.Time { return time.Date(2026, 3, 14, 20, 0, 0, 0, time.UTC) }})
	if err != nil {
		t.Fatal(err)
	}
	if err := h.Order(hand.Order{Do: hand.TrimTo, System: "front", Level: .5}); err != nil {
		t.Fatal(err)
	}
	<-changes
	return h
}

// A link that leads out of the show's folder is neither read nor written through, as with every
// text of a show (docs/files.md).
func TestNoWayOut(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("links need a right of their own there")
	}
	const text = "night: 2026-03-14\ntrims:\n  - {system: front, level: 10 %}\n"
	outside := filepath.Join(t.TempDir(), "mine.txt")
	if err := os.WriteFile(outside, []byte(text), 0o600); err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	for _, name := range []string{hand.TonightFile, hand.FocusFile} {
		if err := os.Symlink(outside, filepath.Join(dir, name)); err != nil {
			t.Fatal(err)
		}
	}
	if s, _, ok, err := hand.Load(t.Context(), dir); err == nil || ok {
		t.Errorf("a link that leads out is read: %s", s)
	}
	if _, err := hand.LoadChart(t.Context(), dir); err == nil || strings.Contains(err.Error(), "trims") {
		t.Errorf("the chart is read from outside: %v", err)
	}
	h := inFolder(t, dir)
	if _, wrong := h.State(); !strings.Contains(wrong, "would be lost") {
		t.Errorf("nothing is told: %q", wrong)
	}
	if now, _ := os.ReadFile(outside); string(now) != text {
		t.Errorf("the file outside was written:\n%s", now)
	}
}

// What a run does not take up is kept beside when it writes its own.
func TestSheetBefore(t *testing.T) {
	for _, c := range []struct{ was, want string }{
		{"night: [\n# mine\n", "night: [\n# mine\n"},
		{"night: 2026-03-13\ntrims:\n  - {unit: p1, level: 70 %}\n", "night: 2026-03-13\ntrims:\n  - {unit: p1, level: 70 %}\n"},
		{"night: 2026-03-14\ntrims:\n  - {unit: p1, level: 70 %}\n", ""}, // was taken up
		{"night: 2026-03-13\n", ""},
		{"", ""},
	} {
		dir := t.TempDir()
		if c.was != "" {
			if err := os.WriteFile(filepath.Join(dir, hand.TonightFile), []byte(c.was), 0o600); err != nil {
				t.Fatal(err)
			}
		}
		inFolder(t, dir)
		if got, _ := os.ReadFile(filepath.Join(dir, hand.BeforeFile)); string(got) != c.want {
			t.Errorf("of %q is kept %q", c.was, got)
		}
		if got, _ := os.ReadFile(filepath.Join(dir, hand.TonightFile)); !strings.Contains(string(got), "front, level: 50 %") {
			t.Errorf("after %q tonight.yaml is %q", c.was, got)
		}
	}
}

// A name that the rig has no longer is told.
func TestStrangers(t *testing.T) {
	s := hand.State{Trims: []hand.Trim{{System: "frnt", Factor: .5}, {System: "front", Factor: .5}, {Unit: "p9", Factor: .5}}, Outs: []hand.Out{{Unit: "p9"}, {Unit: "p1"}}, Held: []hand.Held{{Units: []string{"p2", "gone"}}}}
	if got := s.Strangers(solved(t).Rig); !slices.Equal(got, []string{"frnt", "p9", "gone"}) {
		t.Errorf("got %q", got)
	}
}
