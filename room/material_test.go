package room_test

import (
	"encoding/json"
	"math"
	"os"
	"strings"
	"testing"

	"lampblack/room"
	"lampblack/si"
	"lampblack/source"
)

// All names that a room may give a material are published: in the document of
// the files, and in the schema; and each is a material once only.
func TestMaterialNamesArePublished(t *testing.T) {
	doc, err := os.ReadFile("../docs/files.md")
	if err != nil {
		t.Fatal(err)
	}
	schema, err := json.Marshal(source.Schema("room", room.Room{}))
	if err != nil {
		t.Fatal(err)
	}
	seen := map[string]bool{}
	for _, name := range room.MaterialNames() {
		if seen[name] {
			t.Errorf("%s is there twice", name)
		}
		seen[name] = true
		if !strings.Contains(string(doc), "`"+name+"`") {
			t.Errorf("docs/files.md does not list %s", name)
		}
		// Walls, floor, ceiling, a surface, a box, an object and its background.
		if n := strings.Count(string(schema), `"`+name+`"`); n < 7 {
			t.Errorf("the schema lists %s %d times", name, n)
		}
		text := "size: [9 m, 9 m, 4 m]\nstage front: 5 m\nwalls: " + name + "\nobjects: {thing: {paint: " + name +
			", centre: [0 m, 2 m, 1 m], width: 1 m, height: 1 m, faces: [0 m, -1 m, 0 m], background: " + name + "}}\n"
		r, faults := room.Read("room.yaml", []byte(text))
		if faults.Err() != nil {
			t.Errorf("%s: %v", name, faults)
			continue
		}
		ok, paint, instead := r.Fluoresces("thing")
		if glows := strings.HasPrefix(name, "fluorescent") || strings.HasPrefix(name, "optical"); ok != glows || paint != name || (instead == "") != ok {
			t.Errorf("%s fluoresces: %v, paint %s, instead %s", name, ok, paint, instead)
		}
		if name == "white cloth" && instead != "optical white cloth" {
			t.Errorf("in place of white cloth: %s", instead)
		}
	}
	if len(seen) < 30 {
		t.Errorf("%d names", len(seen))
	}
}

// A material of the room's own: straight between its rows, the same beyond them,
// grey where one share is given.
func TestOwnMaterial(t *testing.T) {
	r := read(t, `
size: [9 m, 9 m, 4 m]
stage front: 5 m
materials:
  sage: {reflectance: [{at: 400 nm, share: 10 %}, {at: 500 nm, share: 40 %}, {at: 600 nm, share: 20 %}]}
  card: {reflects: 35 %}
walls: sage
floor: card
ceiling: card
`)
	sage, ok := r.Reflectance("sage")
	card, also := r.Reflectance("card")
	if !ok || !also {
		t.Fatal("a material is missing")
	}
	for nm, want := range map[int]float64{300: .1, 399: .1, 400: .1, 450: .25, 490: .37, 500: .4, 550: .3, 600: .2, 780: .2} {
		if got := sage.At(si.Wavelength(nm)); math.Abs(got-want) > 1e-12 {
			t.Errorf("sage gives back %v at %d nm, want %v", got, nm, want)
		}
		if got := card.At(si.Wavelength(nm)); math.Abs(got-.35) > 1e-12 {
			t.Errorf("card gives back %v at %d nm", got, nm)
		}
	}
	if _, ok := r.Reflectance("gold"); ok {
		t.Error("a material that is not there was found")
	}
}
