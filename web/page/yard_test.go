package page

import (
	"context"
	"fmt"
	"strings"
	"sync"
	"testing"
	"testing/fstest"

	"lampblack/show"
)

// yard is a show for tests: what a page says of it can be reckoned by hand.
var yard = map[string]string{
	"show.yaml": "title: The Gate\nsoundtrack: gate.wav\nplace: yard\n",
	"fixtures/red.yaml": `
name: red lamp
size: [20 cm, 20 cm, 25 cm]
beam: {half: 25°, tenth: 45°}
emitters:
  red:  {peak: 629 nm, width: 15 nm, output: 2 W}
  blue: {peak: 454 nm, width: 18 nm, output: 2 W}
modes:
  two: {1: {drives: red}, 2: {drives: blue}}
`,
	"fixtures/bar.yaml": `
name: black-light bar
size: [1 m, 9 cm, 12 cm]
cells: 4
beam: {half: 40°, tenth: 72°}
emitters:
  uv: {peak: 385 nm, width: 12 nm, output: 6 W ± 40 %}
modes:
  cells:
    1: {drives: uv, cell: 1}
    2: {drives: uv, cell: 2}
    3: {drives: uv, cell: 3}
    4: {drives: uv, cell: 4}
`,
	"rig.yaml": `
units:
  - {unit: left,  type: red, address: 1, at: [-1 m, -1 m, 2 m], aim: [0 m, 1.5 m, 1 m], systems: front}
  - {unit: right, type: red, address: 3, at: [1 m, -1 m, 2 m],  aim: [0 m, 1.5 m, 1 m], systems: [front, gate]}
  - {unit: loose, type: red, address: 5, at: [0 m, 1 m, 2.4 m], aim: [0 m, 1.5 m, 1 m]}
  - {unit: bar,   type: bar, address: 9, at: [0 m, 0.2 m, 0.1 m], aim: [0 m, 1.8 m, 1 m], systems: uv}
`,
	"room.yaml": `
size: [4 m, 6 m, 3 m]
stage front: 4 m
walls: grey paint
surfaces:
  gate: {material: black cloth, centre: [0 m, 1.8 m, 1 m], width: 2 m, height: 2 m, faces: [0 m, -1 m, 0 m]}
  boards: {material: dark wood, centre: [0 m, 1 m, 0.01 m], width: 3 m, height: 1.8 m, faces: [0 m, 0 m, 1 m]}
objects:
  star: {paint: fluorescent green, centre: [0 m, 1.6 m, 1 m], width: 0.6 m, height: 0.6 m, faces: [0 m, -1 m, 0 m], background: gate}
boxes:
  chest: {centre: [1 m, 0.8 m, 0.3 m], size: [0.6 m, 0.4 m, 0.6 m], material: dark wood}
audience:
  - {name: near, at: [-1 m, -1 m, 1.2 m]}
  - {name: middle, at: [0.1 m, -2 m, 1.2 m]}
  - {name: far, at: [1 m, -3 m, 1.2 m]}
performers:
  - {name: keeper, at: [1 m, 1.2 m, 1.6 m]}
`,
	"score.yaml": `
looks:
  night: {purpose: nothing is seen}
  half: {purpose: waiting, parts: [{units: [left, right], emitters: {red: 50 %}}]}
  one: {purpose: waiting, parts: [{units: [left], emitters: {red: 100 %}}]}
  glow: {purpose: the star, parts: [{system: uv, emitters: {uv: 100 %}}]}
  asked: {purpose: a colour, parts: [{system: front, colour: "#ff40c0", level: 60 %}]}
cues:
  - {cue: 1, at: 0:00, look: night}
  - {cue: 2, at: 0:10, look: half}
  - {cue: 3, at: 0:20, look: one}
  - {cue: 4, at: 0:30, look: glow}
  - {cue: 5, at: 0:40, look: asked}
`,
}

var openYard = sync.OnceValues(func() (*show.Show, error) { return solve(yard) })

func solve(files map[string]string) (*show.Show, error) {
	dir := fstest.MapFS{}
	for name, text := range files {
		dir[name] = &fstest.MapFile{Data: []byte(text)}
	}
	f, faults := show.Read(dir)
	if err := faults.Err(); err != nil {
		return nil, err
	}
	s, faults := show.New(context.Background(), f, nil)
	return s, faults.Err()
}

func theYard(t testing.TB) *show.Show {
	t.Helper()
	s, err := openYard()
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// bigYard has 64 lamps of five emitters with a master slot each, in a bare room.
func bigYard(t testing.TB) *show.Show {
	t.Helper()
	var units strings.Builder
	units.WriteString("units:\n")
	for i := range 64 {
		fmt.Fprintf(&units, "  - {unit: u%d, type: wash, universe: %d, address: %d, at: [%d m, 1 m, 3 m], aim: [0 m, 2 m, 1 m], systems: s%d}\n", i, 1+i/50, 1+i%50*10, i%8-4, i%6)
	}
	s, err := solve(map[string]string{
		"show.yaml": "title: Many\nsoundtrack: many.wav\n",
		"fixtures/wash.yaml": `
name: wash
size: [20 cm, 20 cm, 25 cm]
beam: {half: 25°}
emitters:
  red:   {peak: 629 nm, width: 15 nm, output: 2 W}
  green: {peak: 519 nm, width: 32 nm, output: 1.4 W}
  blue:  {peak: 454 nm, width: 18 nm, output: 2 W}
  amber: {peak: 593 nm, width: 15 nm, output: 1 W}
  white: {like: phosphor 6500 K, output: 500 lm}
modes:
  seven:
    1: {dims: all}
    2: {drives: red}
    3: {drives: green}
    4: {drives: blue}
    5: {drives: amber}
    6: {drives: white}
    7: {0-9: open, 10-255: flash 1 Hz to 20 Hz}
`,
		"rig.yaml":  units.String(),
		"room.yaml": "size: [10 m, 10 m, 4 m]\nstage front: 6 m\nwalls: grey paint\n",
		"score.yaml": `
looks:
  a: {purpose: one, parts: [{system: s0, colour: "#ff40c0", level: 60 %}, {system: s1, colour: 3000 K, level: 30 %}]}
  b: {purpose: two, parts: [{system: s2, colour: "#2040ff", level: 60 %}, {system: s3, colour: 5000 K, level: 30 %}, {system: s4, level: 10 %, colour: 4000 K}, {system: s5, level: 10 %, colour: 4000 K}]}
cues:
  - {cue: 1, at: 0:00, look: a, up: 20 s}
  - {cue: 2, at: 0:30, look: b, up: 40 s}
`,
	})
	if err != nil {
		t.Fatal(err)
	}
	return s
}
