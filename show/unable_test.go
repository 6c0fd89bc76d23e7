package show

import (
	"slices"
	"testing"
)

// A lamp that has nothing near a colour stays dark and takes it from no other; a later part that
// it can do lights it.
func TestLampWithoutTheColour(t *testing.T) {
	const rig = "units:\n" +
		"  - {unit: left, type: par, address: 1, at: [-2 m, -1 m, 3 m], aim: [0 m, 2 m, 1 m], systems: front}\n" +
		"  - {unit: red, type: shared, address: 100, at: [2 m, -1 m, 3 m], aim: [0 m, 2 m, 1 m], systems: front}\n"
	s := showOf(t, map[string]string{"rig.yaml": rig, "score.yaml": `
looks:
  blue: {system: front, colour: "#0000ff", level: 80 %}
  alone: {units: [left], colour: "#0000ff", level: 80 %}
  later: {parts: [{system: front, colour: "#0000ff", level: 80 %}, {units: [red], colour: "#ff0000", level: 50 %}]}
  red: {system: front, colour: "#ff0000", level: 50 %}
cues:
  - {cue: 1, at: 0:00, look: blue}
`}, nil)
	left, red := s.Rig.Index("left"), s.Rig.Index("red")
	of := func(look, unit int) []float32 {
		from, to := s.Rig.UnitDrives(unit)
		return s.Looks[look].Levels[from:to]
	}
	if !slices.Equal(of(0, left), of(1, left)) || slices.Max(of(0, left)) == 0 {
		t.Errorf("beside a red lamp the other is at %v, alone at %v", of(0, left), of(1, left))
	}
	if !slices.Equal(s.Looks[0].Unable, []int{red}) || slices.Max(of(0, red)) != 0 {
		t.Errorf("unable are %v, and the red lamp is at %v", s.Looks[0].Unable, of(0, red))
	}
	for _, look := range []int{1, 2, 3} {
		if len(s.Looks[look].Unable) > 0 {
			t.Errorf("look %s: unable are %v", s.Looks[look].Name, s.Looks[look].Unable)
		}
	}
	if slices.Max(of(2, red)) == 0 {
		t.Error("a part of its own does not light it")
	}
}
