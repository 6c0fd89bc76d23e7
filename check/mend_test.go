package check

import (
	"bytes"
	"context"
	"os"
	"strings"
	"testing"

	"lampblack/show"
)

// Faults that a file can mend: the change passes the check that asked for it,
// and touches the lines that it must and no other.
func TestMend(t *testing.T) {
	if testing.Short() {
		t.Skip("solves the demo's room several times")
	}
	whole := os.Getenv("LAMPBLACK_LONG") != ""
	for _, c := range []struct {
		seed   string // name in seeds
		finds  string
		lines  int // lines of the file that the change may touch
		says   string
		always bool
	}{
		{"overlapping address", "address-overlap", 1, "unit front right: address 10 instead of 5", true},
		{"an accent off its hit", "cue-off", 1, "cue 42: at 2:22.124 instead of 2:22.250", false},
		{"two lamps at 5 Hz", "flash-union", 1, "look lightning: flash at 1 Hz instead of 5 Hz", false},
		{"four blows of lightning in a second", "flash-rate", 4, "4 cues: returns 1 s", false},
		{"two days' rehearsal in one", "uv-dose", 1, "dress rehearsal: ", false},
	} {
		if !whole && !c.always {
			continue
		}
		t.Run(c.seed, func(t *testing.T) { mendOne(t, c.seed, c.finds, c.says, c.lines) })
	}
}

func mendOne(t *testing.T, seed, finds, says string, most int) {
	dir := changed(t, demoFolder())
	for _, s := range seeds {
		if s.name == seed {
			dir = changed(t, demoFolder(), s.edit...)
		}
	}
	original, _ := show.Read(demoFolder())
	f, _ := show.Read(dir)
	s, faults := show.New(context.Background(), f, heard(&original))
	if faults.Err() != nil {
		t.Fatal(faults)
	}
	list, _ := Run(context.Background(), s, Options{})
	var asked *Finding
	for i := range list {
		if list[i].ID == finds && asked == nil {
			asked = &list[i]
		}
	}
	if asked == nil {
		t.Fatalf("the fault is not found: %s", keys(list))
	}
	changes, ok := Mend(context.Background(), dir, s, *asked)
	if !ok || len(changes) != 1 {
		t.Fatalf("%s is not mended", asked.key())
	}
	change := changes[0]
	if !strings.HasPrefix(change.What, says) {
		t.Errorf("it says %q, want %q", change.What, says)
	}
	var diff bytes.Buffer
	WriteDiff(&diff, change)
	t.Log(diff.String())
	if n := strings.Count(diff.String(), "\n-"); n > most {
		t.Errorf("%d lines are changed, want %d at most", n, most)
	}
	dir[change.File].Data = change.After
	for _, g := range findings(t, dir) {
		if g.key() == asked.key() && g.Severity.rank() >= asked.Severity.rank() {
			t.Errorf("after mending: %s", g.Text)
		}
	}
}

// Lines are told apart by a longest common subsequence; what is equal is not
// shown.
func TestWriteDiff(t *testing.T) {
	var b bytes.Buffer
	WriteDiff(&b, Change{File: "rig.yaml", What: "more", Before: []byte("a\nb\nc\nd\n"), After: []byte("a\nx\nc\nd\ne\n")})
	want := "rig.yaml: more\n-   2  b\n+   2  x\n+   5  e\n"
	if b.String() != want {
		t.Errorf("diff:\n%swant:\n%s", b.String(), want)
	}
}
