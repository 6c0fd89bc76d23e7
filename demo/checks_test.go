package demo

import (
	"context"
	"testing"

	"lampblack/check"
	"lampblack/check/finding"
	"lampblack/show"
)

// The untouched demo has nothing that stops a run, and warns of what a
// black-light play in a small hall cannot help; the small show is clean.
func TestFoldersPassTheChecks(t *testing.T) {
	if testing.Short() {
		t.Skip("left out: synthesises and listens to seven minutes")
	}
	for name, allowed := range map[string]map[string]bool{
		"show":  {"blackout": true, "path-dark": true, "escape-light": true, "alarm-input": true},
		"start": {},
	} {
		plan := clicks()
		if name == "show" {
			plan = TheLanternFish()
		}
		s, faults := show.New(context.Background(), readShow(t, embedded(t, name)), heard(t, plan))
		for _, fault := range faults {
			t.Errorf("%s: %v", name, fault)
		}
		list, err := check.Run(context.Background(), s, check.Options{})
		if err != nil {
			t.Fatal(err)
		}
		for _, f := range list {
			if f.Severity == finding.Stop || f.Severity == finding.Warn && !allowed[f.ID] {
				t.Errorf("%s: %s %s at %s, %v: %s", name, f.Severity, f.ID, f.Place, f.From, f.Text)
			}
		}
	}
}
