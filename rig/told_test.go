package rig_test

import (
	"strings"
	"testing"

	"lampblack/rig"
)

const toldText = `name: P
beam: {half: 25°}
emitters: {red: {peak: 625 nm, width: 18 nm, output: 80 lm}}
modes:
  m:
    1: {drives: red}
    2: {0-9: open, 10-255: RATES}
`

// What makers say in place of figures is a guess to drive by, and its worst to count by.
func TestTold(t *testing.T) {
	for _, c := range []struct {
		rates        string
		told         rig.Told
		at10, at255  float64 // the guess, Hz
		most10, most float64 // the worst at both ends, Hz
	}{
		{"flash slow to fast", rig.SlowToFast, 1, 15, 3, 30},
		{"flash fast to slow", rig.FastToSlow, 15, 1, 30, 3},
		{"flash unknown", rig.RateUnknown, 1, 1, 30, 30},
		{"flash random slow to fast", rig.SlowToFast, 1, 15, 30, 30},
		{"flash 2 Hz to 12 Hz", "", 2, 12, 2, 12},
		{"flash random 2 Hz to 12 Hz", "", 2, 12, 12, 12},
		{"flash 0 Hz", "", 0, 0, 30, 30}, // no figure either
	} {
		kind, faults := rig.ReadType("p", "fixtures/p.yaml", []byte(strings.Replace(toldText, "RATES", c.rates, 1)))
		if err := faults.Err(); err != nil {
			t.Fatal(err)
		}
		r := kind.Modes[0].Value.Slots[1].Ranges[1]
		if r.Told != c.told {
			t.Errorf("%s: told %q", c.rates, r.Told)
		}
		got := [4]float64{float64(r.Rate(10)), float64(r.Rate(255)), float64(r.Fastest(10)), float64(r.Fastest(255))}
		if want := [4]float64{c.at10, c.at255, c.most10, c.most}; got != want {
			t.Errorf("%s: %v, want %v", c.rates, got, want)
		}
	}
}
