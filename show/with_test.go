package show

import (
	"strings"
	"testing"
	"time"

	"lampblack/score"
)

// Another score for the same rig and room gives the frames of a show that was
// made of them anew, and leaves the show that it came from as it was.
func TestWith(t *testing.T) {
	f, faults := Read(hallWith(nil))
	if err := faults.Err(); err != nil {
		t.Fatal(err)
	}
	first, faults := New(t.Context(), f, nil)
	if err := faults.Err(); err != nil {
		t.Fatal(err)
	}
	before := slots(first)
	other, faults := score.Read("score.yaml", []byte(strings.NewReplacer("80 %", "45 %", "up: 2 s", "up: 3.5 s").Replace(hall["score.yaml"])))
	if err := faults.Err(); err != nil {
		t.Fatal(err)
	}
	with, faults := first.With(other)
	if err := faults.Err(); err != nil {
		t.Fatal(err)
	}
	f.Score = other
	anew, _ := New(t.Context(), f, nil)
	if slots(with) != slots(anew) || with.Length != anew.Length {
		t.Error("the show is another than when it is made anew")
	}
	if slots(with) == before {
		t.Error("the other score gives the same light: nothing is shown")
	}
	if slots(first) != before {
		t.Error("the first show was changed")
	}
}

// slots is what goes out over the show, five times a second.
func slots(s *Show) string {
	var b strings.Builder
	f := s.NewFrame()
	for at := time.Duration(0); at < s.Length; at += 200 * time.Millisecond {
		s.At(f, at)
		for i := range f.Universes {
			b.Write(f.Universes[i].Slots[:])
		}
	}
	return b.String()
}

// A show of files that changed is the one that is made of them anew, with all that is wrong; where
// rig and room are as they were their light is not worked out again.
func TestAgain(t *testing.T) {
	f, faults := Read(hallWith(nil))
	if err := faults.Err(); err != nil {
		t.Fatal(err)
	}
	first, _ := New(t.Context(), f, nil)
	for name, c := range map[string]struct {
		file, old, new string
		same           bool
	}{
		"a level":         {"score.yaml", "80 %", "45 %", true},
		"a time":          {"score.yaml", "up: 5 s", "up: 3.5 s", true},
		"a fault":         {"score.yaml", "system: ", "system: no such ", true},
		"a title":         {"show.yaml", "title: ", "title: another ", true},
		"an address":      {"rig.yaml", "address: 11", "address: 61", true},
		"a universe":      {"rig.yaml", "address: 11", "universe: 7, address: 11", true},
		"a note":          {"rig.yaml", "address: 11", "address: 11, note: taped", true},
		"a group":         {"rig.yaml", "systems: [uv, foot]", "systems: [uv, top]", true},
		"a group's fault": {"rig.yaml", "systems: top", "systems: feet", true},
		"an aim":          {"rig.yaml", "aim: [0 m, 2 m, 1 m]", "aim: [0 m, 2.1 m, 1 m]", false},
		"a mask":          {"rig.yaml", "address: 11", "address: 11, mask: 30°", false},
		"a place":         {"rig.yaml", "at: [-3 m", "at: [-3.2 m", false},
		"a wall":          {"room.yaml", "[9 m, 14 m", "[9.5 m, 14 m", false},
		"a way":           {"score.yaml", "cues:", "on stage:\n  backdrop: from cue 2\ncues:", false},
	} {
		text := strings.Replace(hall[c.file], c.old, c.new, 1)
		if text == hall[c.file] {
			t.Fatalf("%s: the hall has no %q", name, c.old)
		}
		next, read := Read(hallWith(map[string]string{c.file: text}))
		if same := first.SameLight(next); same != c.same {
			t.Errorf("%s: the light is the same: %v", name, same)
		}
		if read.Err() != nil {
			continue
		}
		again, some := first.Again(t.Context(), next, nil)
		anew, all := New(t.Context(), next, nil)
		if slots(again) != slots(anew) || again.Version() != anew.Version() {
			t.Errorf("%s: the show is another than when it is made anew", name)
		}
		if some.Error() != all.Error() {
			t.Errorf("%s: told is\n%v\nand anew\n%v", name, some, all)
		}
	}
}
