package desk

import (
	"slices"
	"testing"

	"lampblack/rig"
	"lampblack/source"
)

// The units of a desk's universe are those whose slots lie in it, to the last of
// the 512 that DMX512-A has.
func TestUnitsOfAUniverse(t *testing.T) {
	kind, faults := rig.ReadType("lamp", "lamp.yaml", []byte(`
name: two whites
size: [0.3 m, 0.2 m, 0.1 m]
beam: {half: 50°, shape: gaussian}
emitters:
  warm: {like: phosphor 2700 K, output: 500 lm}
  cold: {like: phosphor 6500 K, output: 500 lm}
modes:
  two: {1: {drives: warm}, 2: {drives: cold}}
`))
	if err := faults.Err(); err != nil {
		t.Fatal(err)
	}
	r, faults := rig.Read("rig.yaml", []byte(`
units:
  - {unit: first, type: lamp, address: 1, at: [0 m, 0 m, 3 m], aim: [0 m, 2 m, 1 m]}
  - {unit: last, type: lamp, address: 511, at: [1 m, 0 m, 3 m], aim: [0 m, 2 m, 1 m]}
  - {unit: elsewhere, type: lamp, universe: 2, address: 1, at: [2 m, 0 m, 3 m], aim: [0 m, 2 m, 1 m]}
`), source.Named[*rig.Type]{{Name: "lamp", Value: kind}})
	if err := faults.Err(); err != nil {
		t.Fatal(err)
	}
	for universe, want := range map[int][]string{1: {"first", "last"}, 2: {"elsewhere"}, 3: nil} {
		var got []string
		for _, u := range newDecoder(r, universe).units {
			got = append(got, r.Units[u.unit].Name.Name)
			if u.footprint != 2 || u.address != r.Units[u.unit].Address-1 || u.last-u.first != 2 {
				t.Errorf("%s: %+v", got[len(got)-1], u)
			}
		}
		if !slices.Equal(got, want) {
			t.Errorf("universe %d has %v, want %v", universe, got, want)
		}
	}
}
