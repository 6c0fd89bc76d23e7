package hand

import (
	"context"
	"maps"
	"testing"
	"testing/fstest"
	"time"

	"lampblack/show"
)

// hall is a small show for tests: pars with black light, a bar of two cells, a flood of black
// light, an eye, and a surface.
var hall = map[string]string{
	"show.yaml": "title: Hall\nsoundtrack: track.wav\n",
	"fixtures/par.yaml": `
name: par
beam: {half: 25°}
emitters:
  red:   {peak: 629 nm, width: 15 nm, output: 2 W}
  green: {peak: 519 nm, width: 32 nm, output: 1 W}
  blue:  {peak: 454 nm, width: 18 nm, output: 2 W}
  uv:    {peak: 385 nm, width: 13 nm, output: 3 W ± 40 %}
modes:
  six:
    1: {dims: all, curve: {dark to: 12, then: linear}}
    2: {drives: red}
    3: {drives: green}
    4: {drives: blue}
    5: {drives: uv}
    6: {0-9: open, 10-255: flash 1 Hz to 20 Hz}
`,
	"fixtures/bar.yaml": `
name: bar
size: [1 m, 9 cm, 12 cm]
cells: 2
beam: {half: 40°, tenth: 72°}
emitters:
  green: {peak: 519 nm, width: 32 nm, output: 2 W}
modes:
  cells:
    1-2: {drives: green, cell: 1}
    3-4: {drives: green, cell: 2}
`,
	"fixtures/flood.yaml": `
name: flood
beam: {half: 60°}
emitters:
  uv: {peak: 370 nm, width: 12 nm, output: 160 W ± 25 %}
modes:
  one:
    1: {drives: uv}
`,
	"rig.yaml": `
units:
  - {unit: left,   type: par, address: 1,  at: [-2 m, -1 m, 3 m], aim: [0 m, 2 m, 1 m], systems: front}
  - {unit: middle, type: par, address: 11, at: [0 m, -1 m, 3 m],  aim: [0 m, 2 m, 1 m], systems: front}
  - {unit: right,  type: par, address: 21, at: [2 m, -1 m, 3 m],  aim: [0 m, 2 m, 1 m], systems: front}
  - {unit: bar,    type: bar, address: 101, universe: 2, at: [0 m, 0 m, 20 cm], aim: [0 m, 3 m, 1 m], systems: foot}
  - {unit: flood,  type: flood, address: 200, at: [0 m, 1 m, 1.5 m], aim: [0 m, -2 m, 1.2 m], systems: uv}
`,
	"room.yaml": `
size: [9 m, 14 m, 4 m]
stage front: 9 m
surfaces:
  backdrop: {material: white cloth, centre: [0 m, 3.5 m, 1.5 m], width: 6 m, height: 3 m, faces: [0 m, -1 m, 0 m]}
audience:
  - {name: first row, at: [0 m, -2 m, 1.2 m], looks at: [0 m, 2 m, 1 m]}
`,
	"score.yaml": `
looks:
  dark: {purpose: nothing is seen}
  warm:
    parts:
      - {system: front, colour: "#ffb060", level: 60 %}
  lit:
    parts:
      - {system: front, colour: "#ffffff", lux: 12, on: backdrop}
  sea:
    parts:
      - {system: front, colour: "#123a7c", level: 30 %}
      - {system: foot, level: 40 %}
      - {system: uv, emitters: {uv: 20 %}}
cues:
  - {cue: 1, at: 0:00, look: warm}
  - {cue: 2, at: 0:10, look: sea, up: 4 s, down: 2 s}
  - {cue: 3, at: 0:20, look: lit, up: 1 s}
  - {cue: 4, at: 0:30, look: dark, up: 3 s}
`,
}

// hallWith is the show with some of its files changed, and with units out.
func hallWith(t testing.TB, changes map[string]string, out ...string) *show.Show {
	t.Helper()
	files := maps.Clone(hall)
	maps.Copy(files, changes)
	dir := fstest.MapFS{}
	for name, text := range files {
		dir[name] = &fstest.MapFile{Data: []byte(text)}
	}
	f, faults := show.Read(dir)
	if faults.Err() != nil {
		t.Fatal(faults)
	}
	f.Out = out
	s, faults := show.New(context.Background(), f, nil)
	if faults.Err() != nil {
		t.Fatal(faults)
	}
	return s
}

// stand is a hand with a mixer, and the frames that they make of a show.
type stand struct {
	t       fails
	show    *show.Show
	hand    *Hand
	changes <-chan Change
	mixer   Mixer
	frame   *show.Frame
	now     time.Time
}

// fails is what a test and a property have in common.
type fails interface {
	Helper()
	Fatalf(format string, args ...any)
}

func newStand(t fails, s *show.Show) *stand {
	t.Helper()
	x := &stand{t: t, show: s, frame: s.NewFrame(), now: time.Date(2026, 3, 14, 20, 0, 0, 0, time.UTC)}
	var err error
	x.hand, x.changes, err = New(s.Alone(nil), State{}, Options{Clock: func() time.Time { return x.now }})
	if err != nil {
		t.Fatalf("%v", err)
	}
	return x
}

// order gives an order, and takes what it comes to.
func (x *stand) order(o Order) error {
	err := x.hand.Order(o)
	for len(x.changes) > 0 {
		x.mixer.Take(x.now, <-x.changes)
	}
	return err
}

func (x *stand) mustOrder(o Order) {
	x.t.Helper()
	if err := x.order(o); err != nil {
		x.t.Fatalf("%+v: %v", o, err)
	}
}

// at is the frame when the show is at a place, with lights up to a share.
func (x *stand) at(in time.Duration, up float32) *show.Frame {
	x.show.At(x.frame, in)
	x.mixer.Over(x.show, x.frame, func(int) float32 { return up }, x.now)
	return x.frame
}
