package desk

import (
	"context"
	"io/fs"
	"strings"
	"sync"
	"testing"
	"testing/fstest"

	"lampblack/show"
)

// tiny is a show small enough to work out by hand: two washes of one type, one
// of them at the address that desks begin with, house light, and a flood of
// black light.
// Levels are 0, 20, 60 and 100 %, so that slots are 0, 51, 153 and 255.
var tiny = map[string]string{
	"show.yaml": "title: Tiny\nsoundtrack: none.wav\n",
	"rig.yaml": `
units:
  - {unit: wash left, type: wash, address: 1, at: [-2 m, -2 m, 3 m], aim: [0 m, 2 m, 1 m]}
  - {unit: house, type: wash, address: 11, at: [0 m, -3 m, 3 m], aim: [0 m, -3 m, 0 m], fed by: wash left}
  - {unit: wash right, type: wash, address: 21, at: [2 m, -2 m, 3 m], aim: [0 m, 2 m, 1 m]}
  - {unit: flood, type: flood, address: 31, at: [0 m, 0.5 m, 3 m], aim: [0 m, 2 m, 1 m]}
`,
	"room.yaml": `
size: [6 m, 9 m, 3.2 m]
stage front: 6 m
walls: black cloth
floor: wood floor
ceiling: black cloth
surfaces:
  backdrop: {material: white cloth, centre: [0 m, 2.8 m, 1.5 m], width: 5 m, height: 3 m, faces: [0 m, -1 m, 0 m]}
objects:
  star: {paint: fluorescent yellow-green, centre: [0 m, 1.8 m, 1.2 m], width: 0.5 m, height: 0.5 m, faces: [0 m, -1 m, 0 m], background: backdrop}
audience:
  - {name: seat, at: [0 m, -3 m, 1.2 m]}
`,
	"score.yaml": `
looks:
  open:
    purpose: lights up
    parts: [{units: [house], emitters: {red: 100 %, green: 100 %}}]
  night:
    parts: [{units: [flood], emitters: {uv: 100 %}}]
  knock:
    like: night
    parts: [{units: [wash left, wash right], emitters: {red: 60 %}}]
  sea:
    parts: [{units: [wash left, wash right], emitters: {red: 12 %, green: 20 %}}]
cues:
  - {cue: 1, at: 0:00, look: open}
  - {cue: 2, at: 0:10, look: night}
  - {cue: 3, at: 0:20, look: knock, up: 0.1 s, hold: 1 s, returns: 0.2 s, lands: peaks}
  - {cue: 4, at: 0:30, look: sea}
`,
	"fixtures/wash.yaml": `
name: Wash
size: [0.2 m, 0.2 m, 0.2 m]
beam: {half: 40°}
supply: {max: 40 W}
emitters:
  red: {peak: 625 nm, width: 18 nm, output: 300 lm}
  green: {peak: 520 nm, width: 33 nm, output: 300 lm}
modes:
  three slots:
    1: {dims: all}
    2: {drives: red}
    3: {drives: green}
`,
	"fixtures/flood.yaml": `
name: Flood
size: [0.3 m, 0.15 m, 0.1 m]
beam: {half: 60°}
supply: {max: 40 W}
emitters:
  uv: {peak: 395 nm, width: 12 nm, output: 4 W}
modes:
  two slots:
    1: {drives: uv}
    2: {0-7: open, 8-199: never, 200-255: flash 1 Hz to 12 Hz}
`,
}

// plain is the tiny show as it is, solved once.
var plain = sync.OnceValues(func() (*show.Show, error) { return solved(tinyFiles()) })

// tinyShow solves the tiny show, with words in its files replaced.
func tinyShow(t testing.TB, changes ...string) *show.Show {
	t.Helper()
	if len(changes) == 0 {
		s, err := plain()
		if err != nil {
			t.Fatal(err)
		}
		return s
	}
	s, err := solved(tinyFiles(changes...))
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func tinyFiles(changes ...string) fs.FS {
	dir := fstest.MapFS{}
	for name, text := range tiny {
		dir[name] = &fstest.MapFile{Data: []byte(strings.NewReplacer(changes...).Replace(text))}
	}
	return dir
}

// five is a desk of five slots: enough for one wash and the flood.
const five = `
name: five faders
slots: 5
patch: fixed
scenes: 8
recalled by: [{note: 60, to: 66}]
latency: 30 ms
`

func fit(t testing.TB, s *show.Show, text string) *Plan {
	t.Helper()
	d, faults := Read("desk.yaml", []byte(text))
	if err := faults.Err(); err != nil {
		t.Fatal(err)
	}
	p, err := Reduce(context.Background(), s, d)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

func written(t testing.TB, p *Plan) (sheet, table, losses string) {
	t.Helper()
	var a, b, c strings.Builder
	if err := p.WriteSheet(&a); err != nil {
		t.Fatal(err)
	}
	if err := p.WriteCSV(&b); err != nil {
		t.Fatal(err)
	}
	if err := p.WriteReport(&c); err != nil {
		t.Fatal(err)
	}
	return a.String(), b.String(), c.String()
}
