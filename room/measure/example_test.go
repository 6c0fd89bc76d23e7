package measure_test

import (
	"context"
	"fmt"

	"lampblack/rig"
	"lampblack/room"
	"lampblack/room/measure"
	"lampblack/source"
)

// The most telling reading is proposed; it turns out a third lower than the maker's
// figure says, and the lamp is believed to be nearly that much weaker.
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
	place, _ := room.Read("room.yaml", []byte(`
size: [8 m, 10 m, 4 m]
stage front: 6 m
surfaces:
  backdrop: {centre: [0 m, 3 m, 1.5 m], width: 1 m, height: 1 m, faces: [0 m, -1 m, 0 m]}
`))
	t, _ := place.SolveAt(context.Background(), lamps, room.Fineness{Patches: 400, Elements: 100})

	plan := measure.Plan(t, lamps, measure.Options{Most: 1, NoUVA: true})
	r := plan[0]
	fmt.Printf("read %s of %s at the %s: %.0f lx by the file\n", r.Emitter.Name, r.Unit.Name, r.At.Name, float64(r.Expected.Best))

	sheet, faults := measure.Read("readings.yaml", []byte(`
meters: {lux: {error: 5 %, calibration: 5 %, smallest: 0.1 lx}}
readings:
  - {unit: front, emitter: white, at: backdrop, lux: 105 lx}
`))
	fmt.Println(len(faults), "faults in the readings")
	_, factors, _ := measure.Fit(t, sheet, lamps)
	out := factors[0].Output
	fmt.Printf("it gives %.2f of that, %.2f to %.2f\n", float64(out.Best), float64(out.Low), float64(out.High))
	// Output:
	// read white of front at the backdrop: 148 lx by the file
	// 0 faults in the readings
	// it gives 0.72 of that, 0.61 to 0.86
}
