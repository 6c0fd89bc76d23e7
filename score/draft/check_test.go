package draft

import (
	"bytes"
	"os"
	"regexp"
	"slices"
	"testing"

	"lampblack/check"
	"lampblack/check/finding"
	"lampblack/score"
	"lampblack/show"
)

// The demo with all its cues drafted passes the checks of flash, spacing,
// density and sync as the hand-written one does.
func TestDraftPassesTheChecks(t *testing.T) {
	if testing.Short() {
		t.Skip("left out: solves and checks two shows")
	}
	f, faults := show.Read(os.DirFS("../../demo/show"))
	if err := faults.Err(); err != nil {
		t.Fatal(err)
	}
	track, err := lantern()
	if err != nil {
		t.Fatal(err)
	}
	for name, o := range map[string]Options{"wishes": {Wish: intent(t)}, "sound alone": {}} {
		data, err := os.ReadFile("../../demo/show/score.yaml")
		if err != nil {
			t.Fatal(err)
		}
		// Who is on stage goes by the cues that the play has, and these are others.
		before, after, _ := bytes.Cut(data, []byte("# Puppets come and go"))
		_, after, _ = bytes.Cut(after, []byte("\ncues:\n"))
		data = append(append(before, "cues:\n"...), after...)
		// With all on stage all the time, nothing can be seen alone.
		data = regexp.MustCompile(`(?m)^    only: .*\n`).ReplaceAll(data, nil)
		sc, _ := score.Read("score.yaml", data)
		for i := range sc.Cues {
			sc.Cues[i].By = score.Draft
		}
		text, err := drafted(t, sc, o).Splice("score.yaml", data, sc)
		if err != nil {
			t.Fatal(err)
		}
		f.Score, faults = score.Read("score.yaml", text)
		if err := faults.Err(); err != nil {
			t.Fatal(err)
		}
		s, faults := show.New(t.Context(), f, track)
		if err := faults.Err(); err != nil {
			t.Fatal(err)
		}
		list, err := check.Run(t.Context(), s, check.Options{})
		if err != nil {
			t.Fatal(err)
		}
		for _, x := range list {
			quiet := []string{"blackout", "path-dark", "escape-light", "alarm-input", "glow-under", "spill"}
			if x.Severity == finding.Stop || x.Severity == finding.Warn && !slices.Contains(quiet, x.ID) {
				t.Errorf("%s: %s %s at %v: %s", name, x.Severity, x.ID, x.From, x.Text)
			}
		}
	}
}
