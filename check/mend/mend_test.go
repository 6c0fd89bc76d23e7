package mend

import (
	"bytes"
	"context"
	"math/rand/v2"
	"os"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"lampblack/check"
	"lampblack/check/checktest"
	"lampblack/check/finding"
	"lampblack/show"
)

// Faults that a file can mend: the change passes the check that asked for it,
// and touches the lines that it must and no other.
func TestMend(t *testing.T) {
	checktest.Coarse(t)
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
	} {
		if !whole && !c.always {
			continue
		}
		t.Run(c.seed, func(t *testing.T) { mendOne(t, c.seed, c.finds, c.says, c.lines) })
	}
}

// Of twenty hours of rehearsal nothing but time would help, and it would take more than half of them: that is told, and
// not made.
func TestNoMendOfADay(t *testing.T) {
	if os.Getenv("LAMPBLACK_LONG") == "" {
		t.Skip("solves the demo's room many times; set LAMPBLACK_LONG=1")
	}
	dir, s, asked := seeded(t, "two days' rehearsal in one", "uv-dose")
	found := Find(context.Background(), dir, s, asked)
	if found.Change != nil || found.TooDear == nil || !strings.HasPrefix(found.TooDear.What, "dress rehearsal: ") || found.TooDear.Cost.Time <= dearest {
		t.Errorf("it makes %+v, and tells %+v", found.Change, found.TooDear)
	}
}

// seeded is the demo with a fault, and the first finding of a kind in it.
func seeded(t *testing.T, seed, finds string) (dir fstest.MapFS, s *show.Show, asked finding.Finding) {
	t.Helper()
	dir = checktest.Changed(t, checktest.DemoFolder())
	for _, s := range checktest.Seeds {
		if s.Name == seed {
			dir = checktest.Changed(t, checktest.DemoFolder(), s.Edit...)
		}
	}
	original, _ := show.Read(checktest.DemoFolder())
	f, _ := show.Read(dir)
	s, faults := show.New(context.Background(), f, checktest.Heard(&original))
	if faults.Err() != nil {
		t.Fatal(faults)
	}
	list, _ := check.Run(context.Background(), s, check.Options{})
	for i := range list {
		if list[i].ID == finds {
			return dir, s, list[i]
		}
	}
	t.Fatalf("the fault is not found: %v", list)
	return dir, s, asked
}

func mendOne(t *testing.T, seed, finds, says string, most int) {
	original, _ := show.Read(checktest.DemoFolder())
	dir, s, asked := seeded(t, seed, finds)
	found := Find(context.Background(), dir, s, asked)
	if found.Change == nil {
		t.Fatalf("%s is not mended: %+v", asked.Key(), found.TooDear)
	}
	change := *found.Change
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
	files, _ := show.Read(dir)
	mended, faults := show.New(context.Background(), files, checktest.Heard(&original))
	if faults.Err() != nil {
		t.Fatal(faults)
	}
	after, err := check.Run(context.Background(), mended, check.Options{})
	if err != nil {
		t.Fatal(err)
	}
	for _, g := range after {
		if g.Key() == asked.Key() && g.Severity.Rank() >= asked.Severity.Rank() {
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

// Equal lines are found as a table of all longest common subsequences finds
// them, for texts that share a beginning, an end, both, or nothing.
func TestLongestCommon(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 3))
	for range 300 {
		text := func(n int) []string {
			out := make([]string, n)
			for i := range out {
				out[i] = string(rune('a' + r.IntN(3)))
			}
			return out
		}
		a, b := text(r.IntN(9)), text(r.IntN(9))
		if r.IntN(3) == 0 {
			b = append(slices.Clone(a), b...)
		}
		pairs := longestCommon(a, b)
		for i, p := range pairs {
			if a[p[0]] != b[p[1]] || i > 0 && (p[0] <= pairs[i-1][0] || p[1] <= pairs[i-1][1]) {
				t.Fatalf("%v and %v: %v", a, b, pairs)
			}
		}
		best := make([][]int, len(a)+1)
		for i := range best {
			best[i] = make([]int, len(b)+1)
		}
		for i := range a {
			for j := range b {
				best[i+1][j+1] = max(best[i][j+1], best[i+1][j])
				if a[i] == b[j] {
					best[i+1][j+1] = max(best[i+1][j+1], best[i][j]+1)
				}
			}
		}
		if len(pairs) != best[len(a)][len(b)] {
			t.Fatalf("%v and %v: %d pairs, want %d", a, b, len(pairs), best[len(a)][len(b)])
		}
	}
}
