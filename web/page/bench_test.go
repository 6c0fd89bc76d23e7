package page

import (
	"context"
	"sync"
	"testing"
	"testing/fstest"
	"time"

	"lampblack/show"
	"lampblack/soundtrack"
)

// bench is a show whose pages can be worked out by hand. Its room is black but
// for a wall that sends back half of all light, so that no light comes twice.
// Its lamps give light whose colour is in published tables: one line of red at
// 630 nm, and white of equal energy, of 100 lm and 300 lm each lamp; the bar
// has four openings that share 6 W of ultraviolet. All of it is invented.
var bench = map[string]string{
	"show.yaml": "title: Bench\nsoundtrack: track.wav\nplace: cellar\n",
	"fixtures/bar.yaml": `
name: black-light bar
size: [1 m, 9 cm, 12 cm]
cells: 4
beam: {half: 40°, tenth: 72°}
supply: {max: 62 W}
on data loss: dark
emitters:
  uv: {peak: 385 nm, width: 12 nm, output: 6 W ± 40 %}
modes:
  cells:
    1: {drives: uv, cell: 1}
    2: {drives: uv, cell: 2}
    3: {drives: uv, cell: 3}
    4: {drives: uv, cell: 4}
    5-6: {dims: [uv]}
    7: {0-9: open, 10-127: flash 1 Hz to 12 Hz, 128-254: flash random 2 Hz to 9 Hz, 255: never}
    8: {idle: no function, set: 20}
    9: {dims: all, curve: {dark to: 12, then: linear}}
  one slot:
    1: {drives: uv}
`,
	"fixtures/wash.yaml": `
name: wash, two colours
size: [20 cm, 20 cm, 25.04 cm]
beam: {half: 60°, shape: flat}
supply: {max: 45 W}
emitters:
  red: {spectrum: [{at: 629 nm, power: 0}, {at: 630 nm, power: 1}, {at: 631 nm, power: 0}], output: 100 lm}
  white: {spectrum: [{at: 380 nm, power: 1}, {at: 780 nm, power: 1}], output: 300 lm ± 10 %}
modes:
  three slots:
    1: {dims: all}
    2: {drives: red}
    3: {drives: white}
`,
	"rig.yaml": `
circuits:
  left wall: {breaker: C16, voltage: 240 V}
  right wall: {breaker: 10 A}
lines:
  line A: {order: [front left]}
units:
  - {unit: front left, type: wash, address: 1, at: [-2 m, -1 m, 3 m], aim: [0 m, 3 m, 1.5 m], systems: front, circuit: left wall, line: line A, on data loss: hold}
  - {unit: front right, type: wash, mode: three slots, address: 11, at: [2 m, -1 m, 3 m], aim: [0 m, 3 m, 1.5 m], systems: [front, side], circuit: right wall, note: wobbles}
  - {unit: bar, type: bar, mode: cells, universe: 2, address: 101, at: [0 m, 0.5 m, 0.2 m], aim: [0 m, 3 m, 1.5 m], systems: [uv, foot], fed by: front left}
  - {unit: spot, type: wash, address: 21, at: [0 m, -1 m, 1.5 m], aim: [0 m, 3 m, 1.5 m], fed by: bar}
  - {unit: spare, type: wash, address: 31, at: [1.2346 m, 0 m, 3 m], aim: [0 m, 3 m, 1.5 m], systems: back}
`,
	"room.yaml": `
size: [8 m, 10 m, 4 m]
stage front: 6 m
walls: soot
floor: soot
ceiling: soot
materials:
  soot: {reflects: 0 %}
  half: {reflects: 50 %}
surfaces:
  backdrop: {material: half, centre: [0 m, 3 m, 1.5 m], width: 4 m, height: 3 m, faces: [0 m, -1 m, 0 m]}
boxes:
  crate: {centre: [3 m, 1 m, 0.25 m], size: [0.5 m, 0.5 m, 0.5 m], material: soot}
objects:
  leaf: {paint: fluorescent green, centre: [-0.6 m, 2.5 m, 0.8 m], width: 0.6 m, height: 0.4 m, faces: [0 m, -1 m, 0 m], background: soot}
  berry: {paint: fluorescent red, centre: [0.8 m, 2.5 m, 0.8 m], width: 0.1 m, height: 0.1 m, faces: [0 m, -1 m, 0 m], background: soot}
  stone: {paint: grey paint, centre: [1.4 m, 2.5 m, 0.8 m], width: 0.1 m, height: 0.1 m, faces: [0 m, -1 m, 0 m], background: soot}
audience:
  - {name: seat, at: [0 m, -4 m, 1.2 m], looks at: [0 m, 2 m, 1.2 m]}
  - {name: side seat, at: [2 m, -3 m, 2.2 m], looks at: [1 m, -1 m, 0.2 m]}
`,
	"score.yaml": `
looks:
  red: {purpose: alarm, parts: [{system: front, emitters: {red: 100 %}}]}
  white: {parts: [{system: front, emitters: {white: 100 %}}]}
  ember: {parts: [{units: [front left], emitters: {red: 50 %}}]}
  tip: {parts: [{system: uv, cells: [1, 2], emitters: {uv: 100 %}}]}
  point: {parts: [{units: [spot], emitters: {white: 100 %}}]}
  wall: {parts: [{units: [spot], colour: x 0.3333 y 0.3333, lux: 3, on: backdrop}]}
  dark: {purpose: nothing}
cues:
  - {cue: 1, at: 0:00, look: red}
  - {cue: 2, at: 0:10, look: white, up: 4 s, lands: starts, why: the door opens}
  - {cue: 2.5, on: hit 0:20.00, look: tip, up: 0.5 s, hold: 0.25 s, returns: 1.5 s, lands: peaks, by: draft}
  - {cue: 3, at: 0:30, look: dark, up: 1 s, down: 3 s, lands: completes}
  - {cue: 4, on: bar 3 beat 2, look: ember, by: accepted}
  - {cue: 5, on: end of swell 0:50, look: red, delay: 0.5 s}
`,
}

// benchTrack is what listening would give for a sound that nobody made: one
// moment of most kinds.
func benchTrack() *soundtrack.Track {
	const ms = time.Millisecond
	return &soundtrack.Track{
		Duration: 60 * time.Second,
		Moments: []soundtrack.Moment{
			{Kind: soundtrack.Turn, Time: 0, End: 60 * time.Second, Strength: 1, Label: "A", Why: "it begins"},
			{Kind: soundtrack.Hit, Time: 20120 * ms, End: 20520 * ms, Strength: .61249, Before: -30.04, After: -18.5, Why: "struck low"},
			{Kind: soundtrack.Bar, Time: 35 * time.Second, End: 35 * time.Second, Bar: 3, Beat: 1},
			{Kind: soundtrack.Beat, Time: 35500 * ms, End: 35500 * ms, Bar: 3, Beat: 2},
			{Kind: soundtrack.Swell, Time: 40 * time.Second, End: 49900 * ms, Strength: .5, Before: -20, After: -26},
		},
	}
}

// solvedBench is the bench, solved once; benchBook is its book.
var solvedBench = sync.OnceValues(func() (*show.Show, error) {
	dir := fstest.MapFS{}
	for name, text := range bench {
		dir[name] = &fstest.MapFile{Data: []byte(text)}
	}
	f, faults := show.Read(dir)
	if err := faults.Err(); err != nil {
		return nil, err
	}
	s, faults := show.New(context.Background(), f, benchTrack())
	return s, faults.Err()
})

func benchBook(t testing.TB) *Book {
	t.Helper()
	s, err := solvedBench()
	if err != nil {
		t.Fatal(err)
	}
	return New(s, nil)
}
