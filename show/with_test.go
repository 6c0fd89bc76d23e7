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
