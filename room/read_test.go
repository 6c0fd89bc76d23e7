package room_test

import (
	"context"
	"strings"
	"testing"

	"lampblack/room"
)

// Every fault has its place, and all of a file are found in one pass.
func TestBadRooms(t *testing.T) {
	const fine = "size: [8 m, 10 m, 4 m]\nstage front: 6 m\n"
	for _, c := range []struct{ name, text, want string }{
		{"zero height", "size: [8 m, 10 m, 0 m]\nstage front: 6 m\n", "room.yaml:1:1: the room's height of 0 m lies outside 0.5 m to 200 m"},
		{"not a number", "size: [8 m, .nan m, 4 m]\nstage front: 6 m\n", "room.yaml:1:13: length"},
		{"infinite", "size: [8 m, 1e999 m, 4 m]\nstage front: 6 m\n", "room.yaml:1:13: length"},
		{"stage front outside", "size: [8 m, 10 m, 4 m]\nstage front: 11 m\n", "the stage front of 11 m lies outside the room's depth of 10 m"},
		{"unknown material", fine + "walls: blak paint\n", `room.yaml:3:8: there is no material "blak paint" (did you mean "black paint"?)`},
		{"unknown key", fine + "wals: black paint\n", `unknown key "wals" (did you mean "walls"?)`},
		{"object inside a wall", fine + "objects:\n  fish: {paint: P, centre: [0 m, 4.1 m, 1 m], width: 1 m, height: 1 m, faces: [0 m, -1 m, 0 m]}\n", `room.yaml:4:9: object "fish" reaches 0.1 m into a wall, the floor or the ceiling (the room goes from x -4.00 m, y -6.00 m, z 0 m to x 4.00 m, y 4.00 m, z 4.00 m)`},
		{"object inside a box", fine + "boxes:\n  b: {centre: [0 m, 1 m, 1 m], size: [1 m, 1 m, 1 m]}\nobjects:\n  fish: {paint: P, centre: [0 m, 1 m, 1 m], width: 0.1 m, height: 0.1 m, faces: [0 m, -1 m, 0 m]}\n", `object "fish" is inside the box "b"`},
		{"surface inside a box", fine + "surfaces:\n  cloth: {centre: [0 m, 1 m, 1 m], width: 0.5 m, height: 0.5 m, faces: [0 m, -1 m, 0 m]}\nboxes:\n  b: {centre: [0 m, 1 m, 1 m], size: [1 m, 1 m, 1 m]}\n", `room.yaml:4:10: surface "cloth" is inside the box "b"`},
		{"zero normal", fine + "surfaces:\n  drape: {centre: [0 m, 1 m, 1 m], width: 1 m, height: 1 m, faces: [0 m, 0 m, 0 m]}\n", `surface "drape" faces nowhere`},
		{"zero width", fine + "surfaces:\n  drape: {centre: [0 m, 1 m, 1 m], width: 0 m, height: 1 m, faces: [0 m, -1 m, 0 m]}\n", `the size 0 m of surface "drape" lies outside`},
		{"same name twice", fine + "surfaces:\n  a: {centre: [0 m, 1 m, 1 m], width: 1 m, height: 1 m, faces: [0 m, -1 m, 0 m]}\nboxes:\n  a: {centre: [0 m, 3 m, 1 m], size: [1 m, 1 m, 1 m]}\n", `room.yaml:6:3: two things of the room are called "a" (the first is on line 4)`},
		{"the room's own name", fine + "surfaces:\n  ceiling: {centre: [0 m, 1 m, 1 m], width: 1 m, height: 1 m, faces: [0 m, -1 m, 0 m]}\n", `"ceiling" is the room's own ceiling already`},
		{"paint unknown", fine + "objects:\n  fish: {paint: glowing pnik, centre: [0 m, 1 m, 1 m], width: 0.1 m, height: 0.1 m, faces: [0 m, -1 m, 0 m]}\n", `there is no paint "glowing pnik"`},
		{"background unknown", fine + "objects:\n  fish: {paint: P, centre: [0 m, 1 m, 1 m], width: 0.1 m, height: 0.1 m, faces: [0 m, -1 m, 0 m], background: bckdrop}\n", `the background "bckdrop" is neither a surface nor a material`},
		{"seat outside", fine + "audience:\n  - {at: [0 m, -7 m, 1 m]}\n", `seat seat 1 is 1.00 m outside the room`},
		{"eyes look at themselves", fine + "performers:\n  - {name: me, at: [0 m, 1 m, 1 m], looks at: [0 m, 1 m, 1 m]}\n", `me looks at the place of its own eyes`},
		{"path of one point", fine + "paths:\n  exit: {points: [[0 m, 0 m, 0 m]]}\n", `path "exit" has 1 points, and needs at least two`},
		{"reflects more than all", fine + "materials:\n  shiny: {reflects: 120 %}\nwalls: shiny\n", `material "shiny" reflects 120 %, which lies outside 0 % to 98 %`},
		{"material without value", fine + "materials:\n  shiny: {}\nwalls: shiny\n", `material "shiny" needs either one reflectance or a table`},
		{"table out of order", fine + "materials:\n  m: {reflectance: [{at: 500 nm, share: 0.2}, {at: 400 nm, share: 0.3}]}\n", `the wavelengths of material "m" do not ascend at 400 nm`},
		{"box in the floor", fine + "boxes:\n  b: {centre: [0 m, 1 m, 0.4 m], size: [1 m, 1 m, 1 m]}\n", `box "b" reaches 0.1 m into a wall, the floor or the ceiling`},
	} {
		text := strings.ReplaceAll(c.text, "paint: P,", "paint: "+anyPaint()+",")
		if got := faultsOf(t, text); !strings.Contains(got, c.want) {
			t.Errorf("%s:\n got %s\nwant %s", c.name, got, c.want)
		}
	}
}

// After faults there is still a room that can be computed with.
func TestFaultyRoomCanBeSolved(t *testing.T) {
	r, faults := room.Read("room.yaml", []byte("size: [0 m, -3 m, 1e9 m]\nstage front: 40 m\nwalls: none such\nobjects:\n  a: {paint: x, centre: [90 m, 0 m, 0 m], width: 0 m, height: 1 m, faces: [0 m, 0 m, 0 m]}\naudience: [{at: [99 m, 0 m, 0 m]}]\n"))
	if len(faults) < 5 {
		t.Errorf("only %d faults: %v", len(faults), faults)
	}
	tr, _ := r.SolveAt(context.Background(), bars(t, 1), room.Fineness{Patches: 200, Elements: 50})
	for i := range tr.Places {
		for _, v := range tr.Row(i, room.Radiant) {
			if v != v || v < 0 {
				t.Fatalf("irradiance %v at %+v", v, tr.Places[i])
			}
		}
	}
}

// Units where none can hang are faults with the place in rig.yaml.
func TestUnitsInTheWrongPlace(t *testing.T) {
	rg := hang(t, `
units:
  - {unit: outside, type: spot, address: 1, at: [0 m, -50 m, 2 m], aim: [0 m, 0 m, 2 m]}
  - {unit: buried, type: spot, address: 2, at: [0 m, 1 m, 1 m], aim: [0 m, 0 m, 2 m]}
`, spot(t, "spot", "100 lm", "30°"))
	r := read(t, "size: [8 m, 10 m, 4 m]\nstage front: 6 m\nboxes:\n  b: {centre: [0 m, 1 m, 1 m], size: [1 m, 1 m, 1 m]}\n")
	_, faults := r.SolveAt(context.Background(), rg, room.Fineness{Patches: 200, Elements: 50})
	for _, want := range []string{"rig.yaml:3:12: unit outside hangs outside the room", `rig.yaml:4:12: unit buried hangs inside the box "b": it lights nothing`} {
		if !strings.Contains(faults.Error(), want) {
			t.Errorf("faults %v lack %q", faults, want)
		}
	}
}

// FuzzRead: no text makes Read or a small Solve panic, or gives light that is
// no number.
func FuzzRead(f *testing.F) {
	f.Add([]byte(strings.ReplaceAll(hall, "PAINT", anyPaint())))
	f.Add([]byte("size: [8 m, 10 m, 4 m]\nstage front: 6 m\nmaterials: {m: {reflects: 50 %}}\nwalls: m\n"))
	f.Add([]byte("size: [8 m, 10 m, 4 m]\nstage front: 6 m\npaths: {p: {points: [[0 m,0 m,0 m],[1 m,1 m,0 m]]}}\n"))
	rg := bars(f, 1)
	f.Fuzz(func(t *testing.T, data []byte) {
		r, _ := room.Read("room.yaml", data)
		if len(r.Surfaces)+len(r.Objects)+len(r.Boxes)+len(r.Seats)+len(r.People)+len(r.Paths) > 12 {
			return
		}
		tr, _ := r.SolveAt(context.Background(), rg, room.Fineness{Patches: 60, Elements: 20})
		for i := range tr.Places {
			for _, v := range tr.Row(i, room.Radiant) {
				if v != v {
					t.Fatalf("NaN at %+v", tr.Places[i])
				}
			}
		}
	})
}
