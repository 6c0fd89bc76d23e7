package show

import (
	"context"
	"math"
	"testing"
	"testing/fstest"
)

// A look by colour and level that several units share shows one light from all of them,
// also where measuring found that they do not give the same: level times output is one
// figure for each emitter, as the amounts of light of a mix add up (CIE 15). What nobody
// measured is as its file says.
func TestMeasuredUnitsAreMatched(t *testing.T) {
	dir := fstest.MapFS{
		"rig.yaml":      {Data: []byte("units:\n  - {unit: a, type: colour par, address: 1}\n  - {unit: b, type: colour par, address: 4}\n  - {unit: c, type: colour par, address: 7}\n")},
		"score.yaml":    {Data: []byte("looks:\n  both: {units: [a, b], colour: orange, level: 70 %}\n  alone: {units: [c], colour: orange, level: 70 %}\n")},
		"readings.yaml": {Data: []byte("readings:\n  - {unit: a, emitter: red, matches: b, at level: 60 % (59 % to 61 %)}\n  - {unit: b, emitter: green, matches: a, at level: 80 % (79 % to 81 %)}\n")},
	}
	f, faults := Read(dir)
	s, more := New(context.Background(), f, nil)
	if err := append(faults, more...).Err(); err != nil {
		t.Fatal(err)
	}
	shown := func(look, drive int) float64 { return s.Output(drive) * float64(s.Looks[look].Levels[drive]) }
	for e := range 3 {
		if a, b := shown(0, e), shown(0, 3+e); math.Abs(a-b) > .02*max(a, b) {
			t.Errorf("emitter %d: a shows %.4f and b %.4f", e, a, b)
		}
	}
	if a, b := s.Looks[0].Levels[0], s.Looks[0].Levels[3]; float64(a/b) < 1.2 {
		t.Errorf("red of a, which gives less, is at %v and that of b at %v", a, b)
	}
	if s.Output(6) < .9 || s.Output(6) > 1.1 {
		t.Errorf("c, which nobody matched, gives %v times what its file says", s.Output(6))
	}
}
