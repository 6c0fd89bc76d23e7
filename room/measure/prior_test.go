package measure

import (
	"math"
	"reflect"
	"testing"

	"lampblack/rig"
	"lampblack/room"
	"lampblack/si"
)

// What Plan takes by itself is what it says: a reading is worth 0.002 of all
// uncertainty or is not proposed, and there are 12 at most. Meters of many kinds
// bring readings of nearly that worth about.
func TestPlanByItself(t *testing.T) {
	tr, rg := setting(t)
	meters := func(k int) Meters {
		share := si.Ratio(.02 + .004*float64(k))
		return Meters{Lux: &LuxMeter{Error: share, Calibration: .15, Smallest: .1}, UVA: &UVAMeter{Error: share, Calibration: .25, Smallest: .01}}
	}
	otherwise := 0
	for k := range 40 {
		m := meters(k)
		got := Plan(tr, rg, Options{Meters: m})
		if !reflect.DeepEqual(got, Plan(tr, rg, Options{Meters: m, Worth: .002, Most: 12})) {
			t.Errorf("meters off by %v: %d readings, and others at 0.002", m.Lux.Error, len(got))
		}
		for _, worth := range []float64{.00191, .00209} {
			if len(got) != len(Plan(tr, rg, Options{Meters: m, Worth: worth})) {
				otherwise++
			}
		}
	}
	if otherwise == 0 {
		t.Error("no reading is of nearly the worth that decides")
	}
	for most := range 5 {
		if got := Plan(tr, rg, Options{Most: most + 1, Worth: 1e-9}); len(got) != most+1 {
			t.Errorf("%d readings of %d", len(got), most+1)
		}
	}
	if got := Plan(tr, rg, Options{Worth: 1e-9}); len(got) != 12 {
		t.Errorf("%d readings", len(got))
	}
}

// The usual meters are those that the printed sheet begins with.
func TestUsualMeters(t *testing.T) {
	s, faults := Read("readings.yaml", []byte(Text([]Reading{})+"  []\n"))
	if err := faults.Err(); err != nil {
		t.Fatal(err)
	}
	if s.Meters.Lux == nil || s.Meters.UVA == nil {
		t.Fatal("the sheet has no meters")
	}
	for _, sense := range []room.Sense{room.Photopic, room.UVA} {
		if got, want := (&Meters{}).of(sense), s.Meters.of(sense); math.Abs(got.err-want.err)+math.Abs(got.gain-want.gain)+math.Abs(got.smallest-want.smallest) > 1e-12 {
			t.Errorf("%v: the usual meter is %+v, the sheet says %+v", sense, got, want)
		}
	}
}

// What is believed of a lamp's output before it is measured: half of what its
// file states, in the logarithm, on the wider side; 5 % at least; and a quarter
// or a third of figures that come without a spread (common practice, no source).
func TestTypeSpread(t *testing.T) {
	for output, want := range map[string]float64{
		"900 lm ± 25 %":   math.Log(4./3) / 2,
		"900 lm ± 2 %":    .05,
		"900 lm":          .25,
		"4 W":             .35,
		"2 W to 6 W":      math.Log(2) / 2,
		"4 W ± 100 %":     math.Log(20) / 2, // it gives a twentieth at least
		"4 W ± 96 %":      math.Log(20) / 2,
		"4 W ± 94 %":      math.Log(1/.06) / 2,
		"900 lm ± 900 lm": math.Log(20) / 2,
	} {
		kind, faults := rig.ReadType("par", "par.yaml", []byte(`
name: par
size: [0.2 m, 0.2 m, 0.1 m]
beam: {half: 25°, shape: gaussian}
emitters:
  white: {like: phosphor 4000 K, output: `+output+`}
modes:
  one: {1: {drives: white}}
`))
		if err := faults.Err(); err != nil {
			t.Fatal(err)
		}
		u := &unknowns{rig: &rig.Rig{Units: []rig.Unit{{Type: kind}}}}
		if got := u.typeSpread(emitter{}); math.Abs(got-want) > 1e-9 {
			t.Errorf("%s: %v, want %v", output, got, want)
		}
	}
}

// Units of one type share what their file is off by, emitter by emitter; meters
// and other types share nothing with them.
func TestPrior(t *testing.T) {
	_, rg := setting(t)
	u := newUnknowns(rg)
	p := u.prior(&Meters{}, nil)
	for i, a := range u.names {
		for j, b := range u.names {
			alike := rg.Units[a.unit].Type.ID == rg.Units[b.unit].Type.ID && a.index == b.index
			want := 0.0
			if alike {
				want = math.Pow(u.typeSpread(a), 2)
			}
			if i == j {
				want += .08 * .08 // makers that state a spread sort their lamps: common practice, no source
			}
			if got := p.At(i, j); math.Abs(got-want) > 1e-12 {
				t.Errorf("%v and %v share %v, want %v", a, b, got, want)
			}
		}
		for s, g := range u.gain {
			if p.At(i, g) != 0 {
				t.Errorf("%v and the meter of %v share %v", a, s, p.At(i, g))
			}
		}
	}
	if got := p.At(u.gain[room.Photopic], u.gain[room.Photopic]); math.Abs(got-.15*.15) > 1e-12 {
		t.Errorf("the lux meter's gain has %v", got)
	}
	if p.At(u.gain[room.Photopic], u.gain[room.UVA]) != 0 {
		t.Error("the meters' gains share something")
	}
}
