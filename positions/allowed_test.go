package positions

import (
	"context"
	"testing"
	"testing/fstest"

	"lampblack/room"
	"lampblack/show"
	"lampblack/si"
)

// Where a stand with a lens 1.5 m up, a lens on the floor and a lamp on a bar may be in one room, and why not.
func TestAllowed(t *testing.T) {
	f, faults := show.Read(fstest.MapFS{
		"show.yaml":         {Data: []byte("title: x\n")},
		"fixtures/hot.yaml": {Data: []byte("name: hot\nbeam: {half: 20°}\nsize: [0.2 m, 0.2 m, 0.2 m]\nkeeps clear: 0.5 m\nlights from: 2 m\nemitters: {white: {like: phosphor 6500 K, output: 100 lm}}\nmodes: {one: {1: {drives: white}}}\n")},
		"rig.yaml":          {Data: []byte("units:\n  - {unit: a, type: hot, address: 1, systems: [front]}\n")},
		"score.yaml": {Data: []byte(`looks:
  on: {parts: [{system: front, lux: 10, on: flat}]}
crosses:
  walker: [{at: 0:01, from: [-3 m, 3 m, 1.6 m], to: [0 m, 3 m, 1.6 m], takes: 2 s}]
`)},
		"room.yaml": {Data: []byte(`size: [10 m, 14 m, 4 m]
stage front: 9 m
surfaces:
  flat: {material: light grey, centre: [0 m, 2 m, 1 m], width: 1 m, height: 1.6 m, faces: [0 m, -1 m, 0 m]}
  drape: {material: black velvet, centre: [4 m, 2 m, 1.5 m], width: 2 m, height: 3 m, faces: [-1 m, 0 m, 0 m]}
boxes:
  crate: {material: concrete, centre: [-3 m, 1 m, 0.5 m], size: [1 m, 1 m, 1 m]}
audience:
  - {name: left, at: [-1 m, -3 m, 1.2 m]}
  - {name: right, at: [1 m, -5 m, 1.2 m]}
performers:
  - {name: walker, at: [-3 m, 3 m, 1.6 m]}
paths:
  aisle: {points: [[4 m, -8 m, 0 m], [4 m, -1 m, 0 m]], width: 1.2 m}
`)}})
	if faults.Err() != nil {
		t.Fatal(faults)
	}
	light, _ := f.Carry(context.Background(), f.Rig, room.Fineness{Patches: 200, Elements: 40})
	s, _ := f.Hung(context.Background(), f.Rig, light, nil)
	g := newGround(f.Room, f.Rig, f.Score, light, wishesOf(s))
	u := &f.Rig.Units[0]
	for name, c := range map[string]struct {
		on  string
		at  room.Point
		may bool
	}{
		"a stand beside the seats":                {"stand", room.Point{-3, -3, 1.5}, true},
		"a stand among the seats":                 {"stand", room.Point{0, -4.4, 1.5}, false},
		"a stand in the aisle":                    {"stand", room.Point{4, -4, 1.5}, false},
		"a stand whose feet reach into the aisle": {"stand", room.Point{3, -4, 1.5}, false},
		"a stand beside the aisle":                {"stand", room.Point{2.6, -1, 1.5}, true},
		"a stand between a seat and the flat":     {"stand", room.Point{-.5, -.5, 1.5}, false},
		"a lens on the floor there":               {"floor", room.Point{-.5, -.5, .15}, true},
		"a stand beside a performer":              {"stand", room.Point{-3.5, 3.2, 1.5}, false},
		"a stand where a performer crosses":       {"stand", room.Point{-1.2, 3.1, 1.5}, false},
		"a stand in the crate":                    {"stand", room.Point{-3, 1, .9}, false},
		"a bar over the seats":                    {"bar", room.Point{-1, -3, 3.5}, true},
		"a bar so low over them that heads meet":  {"bar", room.Point{-1, -3, 2}, false},
		"a bar near the drape":                    {"bar", room.Point{3.5, 2, 3}, false},
		"a bar 0.8 m from it":                     {"bar", room.Point{3.2, 2, 3}, true},
	} {
		if got := g.may(&Spot{On: c.on, At: c.at}, u); got != c.may {
			t.Errorf("%s: %v", name, got)
		}
	}
	for y, want := range map[float64]bool{-1: true, .5: false} { // 3 m and 1.5 m before the flat; the maker wants 2 m
		if got := g.sees(&Spot{At: room.Point{0, si.Length(y), 1}, Aim: room.Point{0, 2, 1}}, u); got != want {
			t.Errorf("from %v: %v", y, got)
		}
	}
}
