package demo

import (
	"context"
	"strings"
	"testing"
	"time"

	"lampblack/check"
	"lampblack/check/finding"
	"lampblack/show"
	"lampblack/soundtrack"
	"lampblack/source"
)

// solved is one of the short demos as it runs: its rig in its room, its sounds heard.
type solved struct {
	files   show.Files
	show    *show.Show
	evening *show.Evening // or
	place   *show.Place
}

// known keeps what was solved: light through a room costs a second.
var known = map[string]*solved{}

func solve(t *testing.T, d Demo) *solved {
	t.Helper()
	if s := known[d.Name]; s != nil {
		return s
	}
	s := &solved{files: readShow(t, embedded(t, d.texts...))}
	tracks := map[string]*soundtrack.Track{}
	for _, r := range d.sounds {
		tracks[r.file] = heard(t, r.plan())
	}
	made, faults := show.New(context.Background(), s.files, tracks[s.files.Bill.Soundtrack.Name])
	s.show = made
	var more source.Faults
	switch {
	case s.files.Zones != nil:
		s.place, more = made.Place(s.files.Zones, tracks)
	case s.files.Order != nil:
		s.evening, more = made.Evening(s.files.Order, tracks)
	}
	if err := append(faults, more...).Err(); err != nil {
		t.Fatalf("%s: %v", d.Name, err)
	}
	known[d.Name] = s
	return s
}

// The short demos have nothing that stops a run, every look is what it asks for, and
// they warn of what they cannot help: players who carry a net home in the dusk, and an
// alarm that nobody has wired yet.
func TestShortDemosPassTheChecks(t *testing.T) {
	for _, c := range []struct {
		demo    Demo
		allowed map[string]bool
	}{
		{Evening, map[string]bool{"path-dark": true, "escape-light": true, "alarm-input": true}},
		{Walk, map[string]bool{"alarm-input": true}},
		{Dance, map[string]bool{}},
	} {
		s := solve(t, c.demo)
		for _, look := range s.show.Looks {
			for _, miss := range look.Misses {
				t.Errorf("%s: look %q: %s: wanted %.4g %s, found %.4g", c.demo.Name, look.Name, miss.Text, miss.Wanted, miss.Unit, miss.Found)
			}
		}
		var list []finding.Finding
		var err error
		if s.place == nil && s.evening == nil {
			list, err = check.Run(t.Context(), s.show, check.Options{})
		} else if s.place != nil {
			list, err = check.Place(t.Context(), s.place, check.Options{Hours: s.files.Calendar, Triggers: s.files.Triggers})
		} else {
			list, err = check.Evening(t.Context(), s.evening, check.Options{})
		}
		if err != nil || len(list) == 0 {
			t.Fatal(err)
		}
		for _, f := range list {
			if f.Severity == finding.Stop || f.Severity == finding.Warn && !c.allowed[f.ID] {
				t.Errorf("%s: %s %s at %s, %v: %s", c.demo.Name, f.Severity, f.ID, f.Place, f.From, f.Text)
			}
		}
	}
}

// Cues on hits name planned accents to the millisecond, and every accent has its cue.
func TestShortCuesFollowTheirPlans(t *testing.T) {
	for _, d := range []Demo{Evening, Walk} {
		s := solve(t, d)
		accents := map[string]map[time.Duration]bool{} // by sound: lit
		for _, r := range d.sounds {
			accents[r.file] = map[time.Duration]bool{}
			for _, a := range r.plan().Attacks {
				if a.Accent {
					accents[r.file][a.Time.Truncate(time.Millisecond)] = false
				}
			}
		}
		evenings := []*show.Evening{s.evening}
		if s.place != nil {
			evenings = nil
			for _, z := range s.place.Zones {
				evenings = append(evenings, z.Evening)
			}
		}
		for _, e := range evenings {
			for _, step := range e.Steps {
				of := accents[step.Soundtrack.Name]
				for _, c := range step.Show.Score.Cues {
					var when time.Duration
					switch {
					case c.On != nil:
						when = c.On.Near
					case c.At != nil:
						when = *c.At
					}
					near := false
					for at := range of {
						if (at - when).Abs() <= time.Millisecond {
							of[at], near = true, true
						}
					}
					if !near && c.On != nil {
						t.Errorf("%s, %s: cue %s on %v names no planned accent", d.Name, step.Name(), c.Number, c.On)
					}
				}
			}
		}
		for file, of := range accents {
			for at, lit := range of {
				if !lit {
					t.Errorf("%s: the accent at %v is meant to be lit and has no cue", file, at)
				}
			}
		}
	}
}

// Nobody knows how long somebody stays near a lamp of the walk: its distance is told once,
// for all of the longest day, with its zone running without a pause.
func TestWalkTellsOneDistanceForALamp(t *testing.T) {
	s := solve(t, Walk)
	list, err := check.Place(t.Context(), s.place, check.Options{Hours: s.files.Calendar, Triggers: s.files.Triggers, Only: []string{"uv-keep-out"}})
	if err != nil {
		t.Fatal(err)
	}
	told := map[string]int{}
	for _, f := range list {
		if f.ID != "uv-keep-out" {
			continue
		}
		told[f.Place]++
		if f.Value < 2 || f.Value > 4 || !strings.Contains(f.Cure.String(), "a day of 13 h") {
			t.Errorf("%s: %.3g m, %s", f.Place, f.Value, f.Cure)
		}
	}
	if len(told) != 2 || told["unit drip light"] != 1 || told["unit fungus light"] != 1 {
		t.Errorf("distances were told for %v", told)
	}
}
