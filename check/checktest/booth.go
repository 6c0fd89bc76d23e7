package checktest

import (
	"context"
	"testing/fstest"

	"lampblack/show"
)

// The texts of the booth: a black box of a metre and a half, one lamp at its
// back and one eye before it.
const (
	boothBill = "title: booth\nsoundtrack: booth.wav\n"
	boothLamp = `name: lamp
size: [0.1 m, 0.1 m, 0.1 m]
beam: {half: 40°, shape: gaussian}
supply: {max: 20 W, factor: 0.9}
on data loss: hold
emitters:
  uv: {peak: 370 nm, width: 8 nm, output: 1 W}
  white: {like: phosphor 6500 K, output: 100 lm}
modes:
  three slots:
    1: {drives: uv}
    2: {drives: white, 200-209: never}
    3: {0-9: open, 10-255: flash 1 Hz to 20 Hz}
`
	boothRig  = "units:\n  - {unit: a, type: lamp, address: 1, at: [0 m, 0.5 m, 0.7 m], aim: [0 m, -0.5 m, 0.7 m], systems: [all]}\n"
	boothRoom = `size: [1 m, 1.5 m, 1.5 m]
stage front: 1 m
walls: black velvet
floor: black velvet
ceiling: black velvet
audience:
  - {name: eye, at: [0 m, -0.5 m, 0.7 m], looks at: [0 m, 0.5 m, 0.7 m]}
`
)

// Booth is a solved show of one lamp in a booth so small that it is solved at once, for
// examples; score is the text of its score.yaml. The lamp, unit a of system all, has
// the emitters uv and white, flashes by itself when asked, and runs a program at 200 to
// 209 of the slot of its white. It panics where a test would fail, as an example has no
// testing.T.
func Booth(score string) *show.Show { return BoothWith("", score) }

// BoothWith is Booth with more text at the end of its room.yaml.
func BoothWith(room, score string) *show.Show {
	dir := fstest.MapFS{}
	for name, text := range map[string]string{
		"show.yaml": boothBill, "fixtures/lamp.yaml": boothLamp, "rig.yaml": boothRig, "room.yaml": boothRoom + room, "score.yaml": score,
	} {
		dir[name] = &fstest.MapFile{Data: []byte(text)}
	}
	f, faults := show.Read(dir)
	if err := faults.Err(); err != nil {
		panic(err)
	}
	s, faults := show.New(context.Background(), f, nil)
	if err := faults.Err(); err != nil {
		panic(err)
	}
	return s
}
