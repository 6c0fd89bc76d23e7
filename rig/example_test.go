package rig_test

import (
	"fmt"

	"lampblack/rig"
	"lampblack/source"
)

// Half of the light of one colour, as slots: the lamp has a master that must not
// enter the values above 250, and a colour that begins to glow at 10.
func Example() {
	lamp, faults := rig.ReadType("par", "fixtures/par.yaml", []byte(`
name: Par
beam: {half: 25°}
emitters:
  red: {peak: 625 nm, width: 18 nm, output: 150 lm}
  blue: {peak: 460 nm, width: 20 nm, output: 40 lm}
modes:
  four slots:
    1: {dims: all, 0-250: level, 251-255: never}
    2: {drives: red, curve: {dark to: 10}}
    3: {drives: blue}
    4: {idle: speed, set: 7}
`))
	fmt.Println(len(faults), "faults in the lamp")
	r, faults := rig.Read("rig.yaml", []byte(`
units:
  - {unit: left, type: par, address: 21, at: [-2 m, 0 m, 3 m], aim: [0 m, 2 m, 0 m]}
`), source.Named[*rig.Type]{{Name: "par", Value: lamp}})
	fmt.Println(len(faults), "faults in the rig")

	universes := r.Universes()
	frame := []rig.Universe{{Number: universes[0]}}
	levels := []float32{.5, 0} // of the drives: red, blue
	rig.NewEncoder(r, universes).Encode(frame, levels, make([]float32, len(r.Units)), nil, nil)
	fmt.Println("slots 21 to 24:", frame[0].Slots[20:24])

	rig.NewDecoder(r, universes).Decode(levels, frame)
	fmt.Printf("light: %.3f red, %.3f blue\n", levels[0], levels[1])
	// Output:
	// 0 faults in the lamp
	// 0 faults in the rig
	// slots 21 to 24: [170 190 0 7]
	// light: 0.500 red, 0.000 blue
}
