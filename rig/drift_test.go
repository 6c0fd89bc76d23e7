package rig

import (
	"math"
	"slices"
	"testing"
)

// drifting is the slots of a rig in universe 1 in one of two frames, while light drifts.
func drifting(r *Rig, levels []float32, hz float32, frame int) []byte {
	universes := []Universe{{Number: 1}}
	list, flash := make([]*Still, len(r.Units)), make([]float32, len(r.Units))
	for i := range list {
		list[i], flash[i] = Drifts[frame], hz
	}
	NewEncoder(r, []int{1}).Encode(universes, levels, flash, list, nil)
	return universes[0].Slots[:]
}

// Light that drifts takes half steps: over two frames a slot of 8 bits is never further than a
// quarter of a step from its level, where in fades it may be a half; it changes by one value of
// 255 at most (ANSI E1.11 has 255 steps), and by no more than a fortieth of its light. In darker
// light it stands. Two units of a type take turns.
func TestDriftingTakesHalfSteps(t *testing.T) {
	r := some(t, 2, "    1: {drives: red}\n")
	halves, worst := 0, 0.0
	for i := range 5000 {
		level := float32(i) / 5000
		levels := []float32{level, level}
		even, odd := drifting(r, levels, 0, 0), drifting(r, levels, 0, 1)
		a, b := float64(even[0]), float64(odd[0])
		if a != b {
			if even[0] != odd[1] || even[1] != odd[0] {
				t.Fatalf("at %v the units do not take turns: %v, %v", level, even[:2], odd[:2])
			}
			halves++
			if math.Abs(a-b) > 1 || math.Abs(a-b) > min(a, b)/40 {
				t.Fatalf("at %v the slot goes from %v to %v", level, a, b)
			}
		}
		if off := math.Abs((a+b)/2 - 255*float64(level)); 255*level >= 41 {
			worst = max(worst, off)
		} else if a != b && min(a, b) < 40 || off > 1 {
			t.Fatalf("at %v, in little light, the slot is at %v and %v", level, a, b)
		}
	}
	if worst > .251 || worst < .24 || halves < 2000 {
		t.Errorf("off by %.3f of a step at most, with %d half steps in 5000 levels", worst, halves)
	}
}

// Where a slot flashes as well, or has a second one beside it, or the unit flashes, both frames
// are what moving light has.
func TestDriftingLeavesOthersAlone(t *testing.T) {
	for name, c := range map[string]struct {
		mode string
		hz   float32
	}{
		"16 bits":             {"    1-2: {drives: red}\n", 0},
		"a slot that flashes": {"    1: {drives: red, 200-255: flash 1 Hz to 20 Hz}\n", 0},
		"the unit flashes":    {"    1: {drives: red}\n    2: {0-9: open, 10-255: flash 1 Hz to 20 Hz}\n", 3},
		"behind a master":     {"    1: {dims: all}\n    2: {drives: red}\n", 0},
		"a gap in its range":  {"    1: {drives: red, 101-199: never}\n", 0},
	} {
		r := some(t, 1, c.mode)
		for i := range 500 {
			level := []float32{.4 + .2*float32(i)/500}
			even, odd, moving := drifting(r, level, c.hz, 0), drifting(r, level, c.hz, 1), sent(r, level, c.hz)
			apart := name == "a gap in its range" && level[0] < 100./255
			if !apart && (!slices.Equal(even, odd) || !slices.Equal(even, moving)) {
				t.Fatalf("%s: at %v there are %v, %v and %v", name, level, even[:2], odd[:2], moving[:2])
			}
		}
	}
}
