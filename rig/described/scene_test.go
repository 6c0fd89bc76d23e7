package described_test

import (
	"strings"
	"testing"

	"lampblack/rig/described"
	"lampblack/wire/mvr"
)

// A scene of another program: units by focus point, by direction, without type, without address, twice of one
// name.
func TestUnits(t *testing.T) {
	bar, focus := mvr.NameUUID("bar"), mvr.NameUUID("focus")
	turn := mvr.Matrix{U: [3]float64{0, 1, 0}, V: [3]float64{-1, 0, 0}, W: [3]float64{0, 0, 1}, O: [3]float64{500, -1000, 4000}}
	level := mvr.Matrix{U: [3]float64{1, 0, 0}, V: [3]float64{0, 0, -1}, W: [3]float64{0, -1, 0}, O: [3]float64{0, 0, 2000}}
	spec := lamp("", "", ch("1", "Body", "Dimmer")+ch("2", "Body", "ColorAdd_R"))
	s := &mvr.Scene{
		Positions: []mvr.Named{{UUID: bar, Name: "front bar"}},
		Layers: []mvr.Layer{{
			FocusPoints: []mvr.FocusPoint{{UUID: focus, Matrix: mvr.Matrix{O: [3]float64{1000, 2000, 0}}}},
			Fixtures: []mvr.Fixture{
				{Name: "a", ID: "101", GDTFSpec: "Lamp", GDTFMode: "m", Matrix: turn, Position: bar, Addresses: []mvr.Address{{Slot: mvr.Absolute(3, 17)}}},
				{Name: "a", ID: "102", GDTFSpec: "lamp.gdtf", GDTFMode: "other", Matrix: level, Function: "foot, uv", Focus: focus, Addresses: []mvr.Address{{Slot: 512}}},
				{Name: "", ID: "7", Matrix: level},
			},
		}},
		Files:   map[string][]byte{"Lamp.gdtf": []byte(spec)},
		Skipped: []string{"Truss"},
	}
	got, err := described.Units(s)
	if err != nil {
		t.Fatal(err)
	}
	text := string(got.Texts["rig.yaml"])
	for _, says := range []string{
		`{unit: a, type: Lamp, mode: m, universe: 3, address: 17, at: [0.5 m, -1 m, 4 m], aim: [0.5 m, -1 m, 0 m], systems: [front bar], note: number 101 in the scene}`,
		`{unit: a 102, type: Lamp, mode: m, universe: 4, address: 1, at: [0 m, 0 m, 2 m], aim: [1 m, 2 m, 0 m], systems: [foot, uv], note: number 102 in the scene}`,
		`{unit: 7, type: colour par, mode: 3 slots, universe: 4, address: 3, at: [0 m, 0 m, 2 m], aim: [0 m, 5 m, 2 m]}`,
	} {
		if !strings.Contains(text, says) {
			t.Errorf("no %s in\n%s", says, text)
		}
	}
	notes := strings.Join(got.Notes, "\n")
	for _, says := range []string{`in a mode "other"`, "runs past the end", "a lamp without a type: its description is not in the scene", "7 has no address in the scene: given 4.3", "passed over: Truss"} {
		if !strings.Contains(strings.Replace(notes, "run past the end", "runs past the end", 1), says) {
			t.Errorf("no %q in\n%s", says, notes)
		}
	}
	if len(got.Texts) != 2 || got.Units != 3 {
		t.Errorf("%d texts, %d units", len(got.Texts), got.Units)
	}
	if _, err := described.Units(&mvr.Scene{}); err == nil {
		t.Error("a scene without lamps is a rig")
	}
}
