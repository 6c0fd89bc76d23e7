package demo

import (
	"context"
	"io/fs"
	"testing"
	"testing/fstest"
	"time"

	"lampblack/show"
)

// readShow reads a folder that must have nothing wrong with it.
func readShow(t testing.TB, dir fs.FS) show.Files {
	t.Helper()
	f, faults := show.Read(dir)
	for _, fault := range faults {
		t.Errorf("%v", fault)
	}
	return f
}

func embedded(t testing.TB, roots ...string) fs.FS {
	t.Helper()
	all, err := texts(roots...)
	if err != nil {
		t.Fatal(err)
	}
	dir := fstest.MapFS{}
	for name, data := range all {
		dir[name] = &fstest.MapFile{Data: data}
	}
	return dir
}

// Both folders read clean, and the rig can do all that the looks ask for.
func TestFoldersAreSound(t *testing.T) {
	for _, name := range []string{"show", "start"} {
		f := readShow(t, embedded(t, name))
		s, faults := show.New(context.Background(), f, nil)
		for _, fault := range faults {
			t.Errorf("%s: %v", name, fault)
		}
		for _, look := range s.Looks {
			for _, miss := range look.Misses {
				t.Errorf("%s: look %q: %s: wanted %.4g %s, found %.4g", name, look.Name, miss.Text, miss.Wanted, miss.Unit, miss.Found)
			}
		}
	}
}

// What the demo must be able to show.
func TestDemoIsRichEnough(t *testing.T) {
	f := readShow(t, embedded(t, "show"))
	for _, n := range []struct {
		what       string
		have, want int
	}{
		{"fixture types", len(f.Rig.Types), 5}, {"units", len(f.Rig.Units), 12},
		{"objects", len(f.Room.Objects), 5}, {"looks", len(f.Score.Looks), 10},
		{"cues", len(f.Score.Cues), 36}, {"seats", len(f.Room.Seats), 8},
		{"performers", len(f.Room.People), 3}, {"circuits", len(f.Rig.Circuits), 2},
	} {
		if n.have < n.want {
			t.Errorf("%d %s, want %d", n.have, n.what, n.want)
		}
	}
	for _, l := range f.Score.Looks {
		if l.Value.Purpose == "" {
			t.Errorf("look %q has no purpose", l.Name)
		}
	}
}

// Cues that hang on hits name planned accents to the millisecond, every
// planned accent has its cue, and nothing bumps while the narrator speaks.
func TestCuesFollowThePlan(t *testing.T) {
	p := TheLanternFish()
	f := readShow(t, embedded(t, "show"))
	lit := map[time.Duration]bool{}
	for _, c := range f.Score.Cues {
		if c.On == nil || c.On.Kind != "hit" {
			continue
		}
		found := false
		for _, a := range p.Attacks {
			if a.Accent && (a.Time-c.On.Near).Abs() < time.Millisecond {
				found, lit[a.Time] = true, true
			}
		}
		if !found {
			t.Errorf("cue %s on %v names no planned accent", c.Number, c.On)
		}
		for _, v := range p.Voice {
			if c.Bump() && c.On.Near > v.From && c.On.Near < v.To {
				t.Errorf("cue %s bumps while the narrator speaks", c.Number)
			}
		}
	}
	for _, a := range p.Attacks {
		if a.Accent && !lit[a.Time] {
			t.Errorf("%s at %v is meant to be lit and has no cue", a.Name, a.Time)
		}
	}
}
