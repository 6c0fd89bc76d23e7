package show

import (
	"context"
	"io/fs"
	"maps"
	"testing"
	"testing/fstest"
)

// hall is a small show for tests: three kinds of unit whose slot tables hold
// the traps of real manuals.
var hall = map[string]string{
	"show.yaml": "title: Hall\nsoundtrack: track.wav\n",
	"fixtures/par.yaml": `
name: par
beam: {half: 25°}
emitters:
  red:   {peak: 629 nm, width: 15 nm, output: 2 W}
  green: {peak: 519 nm, width: 32 nm, output: 1 W}
  blue:  {peak: 454 nm, width: 18 nm, output: 2 W}
  white: {like: phosphor 6500 K, output: 300 lm}
  uv:    {peak: 397 nm, width: 13 nm, output: 1 W ± 40 %}
modes:
  eight slots:
    1: {dims: all, curve: {dark to: 12, then: linear}}
    2: {drives: red}
    3: {drives: green}
    4: {drives: blue}
    5: {drives: white}
    6: {drives: uv}
    7: {0-9: open, 10-255: flash 1 Hz to 20 Hz}
    8: {0-9: off, 10-255: never}
`,
	"fixtures/bar.yaml": `
name: bar
size: [1 m, 9 cm, 12 cm]
cells: 2
beam: {half: 40°, tenth: 72°}
emitters:
  green: {peak: 519 nm, width: 32 nm, output: 2 W}
  uv:    {peak: 385 nm, width: 12 nm, output: 4 W}
modes:
  cells:
    1: {drives: green, cell: 1, curve: {then: square}}
    2: {drives: uv, cell: 1}
    3: {drives: green, cell: 2, curve: {then: square}}
    4: {drives: uv, cell: 2}
    5-6: {dims: [green], curve: {then: s}}
`,
	"fixtures/shared.yaml": `
name: one slot for level and strobe
beam: {half: 60°}
emitters:
  red: {peak: 629 nm, width: 15 nm, output: 2 W}
modes:
  two slots:
    1: {dims: all, 0-127: level, 128-250: flash 1 Hz to 12 Hz, 251-255: open}
    2: {drives: red}
`,
	"rig.yaml": `
units:
  - {unit: left,  type: par, address: 1,  at: [-3 m, -1 m, 3 m], aim: [0 m, 2 m, 1 m], systems: front}
  - {unit: right, type: par, address: 11, at: [3 m, -1 m, 3 m],  aim: [0 m, 2 m, 1 m], systems: front}
  - {unit: bar,   type: bar, address: 101, universe: 2, at: [0 m, 0 m, 20 cm], aim: [0 m, 3 m, 1 m], systems: [uv, foot]}
  - {unit: lamp,  type: shared, address: 500, at: [0 m, 3 m, 3 m], aim: [0 m, 2 m, 0 m], systems: top}
`,
	"room.yaml": `
size: [9 m, 14 m, 4 m]
stage front: 9 m
surfaces:
  backdrop: {material: black velvet, centre: [0 m, 3.5 m, 1.5 m], width: 6 m, height: 3 m, faces: [0 m, -1 m, 0 m]}
audience:
  - {name: third row, at: [0 m, -4 m, 1.2 m], looks at: [0 m, 2 m, 1 m]}
`,
	"score.yaml": `
looks:
  dark: {purpose: nothing is seen}
  warm:
    parts:
      - {system: front, colour: "#ffb060", level: 60 %}
  sea:
    parts:
      - {system: front, colour: "#123a7c", level: 30 %}
      - {system: uv, emitters: {uv: 80 %, green: 10 %}}
  flash:
    parts:
      - {units: [lamp], level: 100 %}
  strobe:
    parts:
      - {units: [left, lamp], level: 50 %, flash: 3 Hz}
cues:
  - {cue: 1, at: 0:00, look: warm}
  - {cue: 2, at: 0:10, look: sea, up: 4 s, down: 2 s}
  - {cue: 3, at: 0:20, look: flash, up: 0.1 s, hold: 0.2 s, returns: 1 s, lands: peaks}
  - {cue: 4, at: 0:30, look: warm, up: 5 s, lands: completes}
  - {cue: 4.5, at: 0:29, look: strobe, returns: 0.5 s, hold: 0.5 s}
  - {cue: 5, at: 0:40, look: dark, up: 3 s}
`,
}

func hallWith(changes map[string]string) fs.FS {
	files := maps.Clone(hall)
	maps.Copy(files, changes)
	return folderOf(files)
}

// folderOf is a show's folder in memory.
func folderOf(files map[string]string) fs.FS {
	dir := fstest.MapFS{}
	for name, text := range files {
		dir[name] = &fstest.MapFile{Data: []byte(text)}
	}
	return dir
}

func open(t testing.TB) *Show {
	t.Helper()
	f, faults := Read(hallWith(nil))
	if faults.Err() != nil {
		t.Fatal(faults)
	}
	s, faults := New(context.Background(), f, nil)
	if faults.Err() != nil {
		t.Fatal(faults)
	}
	return s
}
