package show

import (
	"math"
	"testing"
)

// Of every wish it is noted what comes of it, and that is what the transport says of the levels. A
// wish that is missed has the miss's own figures.
func TestReached(t *testing.T) {
	s := whole(t, map[string]string{"score.yaml": "looks:\n  asked:\n    ultraviolet at eyes: {at most: 1 W/m²}\n    dark: [{on: floor, at most: 0.01 lx}]\n" +
		"    parts: [{units: [left, right], lux: 3, on: backdrop}]\n  far: {system: front, lux: 90000, on: backdrop}\ncues: [{cue: 1, at: 0:00, look: asked}]\n"})
	l := &s.Looks[0]
	got := map[Wish]Reached{}
	for _, r := range l.Reached {
		got[r.Wish] = r
	}
	if len(got) != 3 || len(l.Reached) != 3 {
		t.Fatalf("it asks for three things, and %+v came", l.Reached)
	}
	lux := got[Illuminance]
	if is := float64(s.Transport.Lux("backdrop", l.Levels)); lux.Wanted != 3 || math.Abs(lux.Found-is) > 1e-3*is {
		t.Errorf("%g lx on the backdrop, and %+v is noted", is, lux)
	}
	if got[AtEyes].On != "third row" || got[AtEyes].Found <= 0 && s.Transport.UVA(0, l.Levels).High > 0 {
		t.Errorf("at the eyes %+v", got[AtEyes])
	}
	for _, m := range append(l.Misses, s.Looks[1].Misses...) {
		noted := false
		for _, r := range append(l.Reached, s.Looks[1].Reached...) {
			noted = noted || r.Wanted == m.Wanted && r.Found == m.Found
		}
		if !noted {
			t.Errorf("missed, and not noted: %+v", m)
		}
	}
	if len(s.Looks[1].Misses) == 0 {
		t.Error("nobody has 90000 lx, and nothing is missed")
	}
}
