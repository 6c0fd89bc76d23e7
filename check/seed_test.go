package check

import (
	"context"
	"fmt"
	"io/fs"
	"os"
	"slices"
	"strings"
	"testing"

	"lampblack/check/checktest"
	"lampblack/check/finding"
	"lampblack/show"
	"lampblack/soundtrack"
)

// findings reads, solves and checks a folder, as the command does: faults of
// the files end it.
func findings(t testing.TB, dir fs.FS) []finding.Finding {
	t.Helper()
	original, _ := show.Read(checktest.DemoFolder())
	return findingsHeard(t, dir, checktest.Heard(&original))
}

// findingsHeard is the same of a show with another track, or with none.
func findingsHeard(t testing.TB, dir fs.FS, track *soundtrack.Track) []finding.Finding {
	t.Helper()
	f, faults := show.Read(dir)
	if faults.Err() != nil {
		return finding.FromFaults(faults)
	}
	s, more := show.New(context.Background(), f, track)
	if more.Err() != nil {
		return finding.FromFaults(more)
	}
	faults = append(faults, more...)
	switch {
	case f.Zones != nil:
		p, more := s.Place(f.Zones, nil)
		if more.Err() != nil {
			return finding.FromFaults(more)
		}
		found, err := Place(context.Background(), p, Options{Hours: f.Calendar, Triggers: f.Triggers})
		if err != nil {
			t.Fatal(err)
		}
		return append(finding.FromFaults(append(faults, more...)), found...)
	case f.Order == nil:
		found, err := Run(context.Background(), s, Options{Triggers: f.Triggers})
		if err != nil {
			t.Fatal(err)
		}
		return append(finding.FromFaults(faults), found...)
	}
	e, more := s.Evening(f.Order, nil)
	if more.Err() != nil {
		return finding.FromFaults(more)
	}
	found, err := Evening(context.Background(), e, Options{Triggers: f.Triggers})
	if err != nil {
		t.Fatal(err)
	}
	return append(finding.FromFaults(append(faults, more...)), found...)
}

// fresh returns the findings of list that before has not, or has less
// gravely.
func fresh(list, before []finding.Finding) []finding.Finding {
	return slices.DeleteFunc(slices.Clone(list), func(f finding.Finding) bool {
		return slices.ContainsFunc(before, func(b finding.Finding) bool {
			same := b.Key() == f.Key() || f.Severity == finding.Note && b.ID == f.ID // a note stands at the worst place
			return same && b.Severity.Rank() >= f.Severity.Rank()
		})
	})
}

// Faults are put into the demo one at a time: each is found and located, and
// nothing else appears.
func TestSeededFaults(t *testing.T) {
	checktest.Coarse(t)
	whole := os.Getenv("LAMPBLACK_LONG") != ""
	if testing.Short() {
		t.Skip("solves the demo's room once for each fault")
	}
	before, err := Run(context.Background(), demo(), Options{})
	if err != nil {
		t.Fatal(err)
	}
	if stops := finding.Stops(before); len(stops) > 0 {
		t.Errorf("the untouched demo stops: %v", stops)
	}
	tried := 0
	for i, seed := range checktest.Seeds {
		if !whole && i%16 != 0 {
			continue // all with LAMPBLACK_LONG=1
		}
		tried++
		t.Run(seed.Name, func(t *testing.T) {
			list := fresh(findings(t, checktest.Changed(t, checktest.DemoFolder(), seed.Edit...)), before)
			found := false
			for _, f := range list {
				switch {
				case f.ID == seed.Finds && strings.Contains(f.Place, seed.Where):
					found = true
					if f.File == "" && f.To == 0 && f.ID != "uv-dose" && f.ID != finding.NotJudged {
						t.Errorf("%s is neither at a line nor at a time", f.Key())
					}
				case f.ID == seed.Finds, slices.Contains(seed.Also, f.ID):
				default:
					t.Errorf("also finds %s: %s", f.Key(), f.Text)
				}
			}
			if !found {
				t.Errorf("does not find %s at %s; finds %s", seed.Finds, seed.Where, keys(list))
			}
		})
	}
	t.Logf("%d faults of %d seeded", tried, len(checktest.Seeds))
}

func keys(list []finding.Finding) string {
	var out []string
	for _, f := range list {
		out = append(out, fmt.Sprintf("%s %s", f.Severity, f.Key()))
	}
	return strings.Join(out, "; ")
}
