package show

import (
	"context"
	"testing"
	"testing/fstest"
	"time"

	"lampblack/soundtrack"
)

// looksAlone is a show of almost nothing, with something more.
func looksAlone(more map[string]string) fstest.MapFS {
	dir := fstest.MapFS{
		"rig.yaml":   {Data: []byte("units: [{unit: 1, type: colour par, address: 1}]\n")},
		"score.yaml": {Data: []byte("looks:\n  a: {colour: red, level: 50 %}\n  house: {purpose: lights up, level: 100 %}\n  b: {colour: blue, level: 20 %}\n")},
	}
	for name, text := range more {
		dir[name] = &fstest.MapFile{Data: []byte(text)}
	}
	return dir
}

// Looks without cues stand one after another, but for that of the lights-up key; with a
// soundtrack they come at even shares of it, on a turn that is near.
func TestLooksWithoutCues(t *testing.T) {
	f, faults := Read(looksAlone(nil))
	s, more := New(context.Background(), f, nil)
	if err := append(faults, more...).Err(); err != nil {
		t.Fatal(err)
	}
	e, faults := s.Evening(f.Order, nil)
	if faults.Err() != nil || !f.Order.Implied() {
		t.Fatal(faults)
	}
	if names := e.Names(); len(names) != 2 || names[0] != "a" || names[1] != "b" || !e.Steps[1].Show.CuesGuessed() || !e.Whole().CuesGuessed() {
		t.Errorf("the order is %v", names)
	}
	if got := e.Steps[1].Show.At(s.NewFrame(), time.Minute).Universes[0].Slots[2]; got == 0 {
		t.Error("the second look has no blue")
	}

	f, faults = Read(looksAlone(map[string]string{"show.yaml": "soundtrack: a.wav\n"}))
	if faults.Err() != nil {
		t.Fatal(faults)
	}
	turn := func(at float64) soundtrack.Moment {
		return soundtrack.Moment{Kind: soundtrack.Turn, Time: time.Duration(at * 1e9), End: time.Duration(at * 1e9)}
	}
	for _, c := range []struct {
		turns []soundtrack.Moment
		want  time.Duration
	}{{nil, 30e9}, {[]soundtrack.Moment{turn(3), turn(24), turn(33.5)}, 33.5e9}, {[]soundtrack.Moment{turn(20)}, 30e9}} {
		s, faults := New(context.Background(), f, &soundtrack.Track{Duration: 60e9, Rate: 48000, Channels: 2, Moments: c.turns})
		if faults.Err() != nil {
			t.Fatal(faults)
		}
		if len(s.Cues) != 2 || s.Cues[0].Moment != 0 || s.Cues[1].Moment != c.want || !s.CuesGuessed() {
			t.Errorf("with turns %v: %+v", c.turns, s.Cues)
		}
	}

	f, faults = Read(looksAlone(map[string]string{"order.yaml": "order: [{standing: x, look: b, at most: 1 min}]\n"}))
	if faults.Err() != nil || f.Order.Implied() {
		t.Errorf("a written order: %v", faults)
	}
	if f.Bill.Title != "A show" {
		t.Errorf("it is called %q", f.Bill.Title)
	}
}
