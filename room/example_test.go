package room_test

import (
	"context"
	"fmt"

	"lampblack/rig"
	"lampblack/room"
	"lampblack/source"
)

// One lamp before a backdrop: what it gives alone, and what the walls add to it.
func Example() {
	lamp, _ := rig.ReadType("par", "fixtures/par.yaml", []byte(`
name: Par
beam: {half: 25°}
emitters: {white: {like: phosphor 4000 K, output: 1000 lm}}
modes: {one slot: {1: {drives: white}}}
`))
	lamps, _ := rig.Read("rig.yaml", []byte(`
units:
  - {unit: front, type: par, address: 1, at: [0 m, -2 m, 3 m], aim: [0 m, 3 m, 1.5 m]}
`), source.Named[*rig.Type]{{Name: "par", Value: lamp}})
	place, faults := room.Read("room.yaml", []byte(`
size: [8 m, 10 m, 4 m]
stage front: 6 m
walls: white paint
surfaces:
  backdrop: {material: white cloth, centre: [0 m, 3 m, 1.5 m], width: 1 m, height: 1 m, faces: [0 m, -1 m, 0 m]}
`))
	fmt.Println(len(faults), "faults in the room")

	t, _ := place.SolveAt(context.Background(), lamps, room.Fineness{Patches: 400, Elements: 100})
	whole := float64(t.Lux("backdrop", []float32{1}))
	direct := 0.0
	patches := t.Find("backdrop")
	for _, p := range patches {
		straight, _ := t.Arrives(p, 0)
		direct += float64(straight.LuminousFlux()) / float64(len(patches))
	}
	fmt.Printf("%.0f lx on the backdrop, of which the walls add %.1f\n", whole, whole-direct)
	fmt.Printf("%.0f lx at half\n", float64(t.Lux("backdrop", []float32{.5})))
	// Output:
	// 0 faults in the room
	// 156 lx on the backdrop, of which the walls add 3.5
	// 78 lx at half
}
