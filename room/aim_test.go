package room_test

import (
	"math"
	"testing"

	"lampblack/light"
	"lampblack/room"
	"lampblack/si"
)

const rowBar = `
name: bar
size: [1 m, 0.1 m, 0.1 m]
cells: 2
beam: {half: 20°, shape: gaussian}
emitters:
  lime: {peak: 555 nm, width: 20 nm, output: 1000 lm}
modes:
  two: {1: {drives: lime, cell: 1}, 2: {drives: lime, cell: 2}}
`

// The row of cells is level and across the aim, the first cell to the left of
// who looks into the unit; Turn stands it up, about the beam.
func TestRowOfCells(t *testing.T) {
	r := read(t, black+`
size: [10 m, 10 m, 6 m]
stage front: 5 m
audience:
  - {name: left, at: [-0.25 m, -3 m, 3 m], looks at: [-0.25 m, 4 m, 3 m]}
  - {name: right, at: [0.25 m, -3 m, 3 m], looks at: [0.25 m, 4 m, 3 m]}
  - {name: above, at: [0 m, -3 m, 3.25 m], looks at: [0 m, 4 m, 3.25 m]}
  - {name: below, at: [0 m, -3 m, 2.75 m], looks at: [0 m, 4 m, 2.75 m]}
`)
	for _, c := range []struct{ turn, first, second string }{
		{"0°", "left", "right"}, {"180°", "right", "left"}, {"90°", "below", "above"}, {"-90°", "above", "below"},
	} {
		rg := hang(t, "units:\n  - {unit: a, type: bar, address: 1, at: [0 m, 0 m, 3 m], aim: [0 m, -4 m, 3 m], turn: "+c.turn+"}\n", kind(t, "bar", rowBar))
		tr := solve(t, r, rg, room.Fineness{Patches: 100, Elements: 20})
		one, two := []float32{1, 0}, []float32{0, 1}
		if tr.Lux(c.first, one) <= tr.Lux(c.second, one)*1.05 || tr.Lux(c.second, two) <= tr.Lux(c.first, two)*1.05 {
			t.Errorf("turn %s: cell 1 gives %v to %s and %v to %s", c.turn, tr.Lux(c.first, one), c.first, tr.Lux(c.second, one), c.second)
		}
		near(t, "both cells alike", float64(tr.Lux(c.first, one)), float64(tr.Lux(c.second, two)), 1e-6)
	}
}

// A mask cuts what rises above its angle, and nothing else.
func TestMask(t *testing.T) {
	r := read(t, black+`
size: [10 m, 10 m, 6 m]
stage front: 5 m
audience:
  - {name: low, at: [0 m, -3 m, 1.2 m], looks at: [0 m, 0 m, 1 m]}
  - {name: high, at: [0 m, -3 m, 2 m], looks at: [0 m, 0 m, 1 m]}
`)
	lux := func(mask string) (low, high float64) {
		rg := hang(t, "units:\n  - {unit: a, type: spot, address: 1, at: [0 m, 0 m, 1 m], aim: [0 m, -3 m, 1.6 m]"+mask+"}\n", spot(t, "spot", "1000 lm", "60°"))
		tr := solve(t, r, rg, room.Fineness{Patches: 100, Elements: 20})
		return float64(tr.Lux("low", full(rg))), float64(tr.Lux("high", full(rg)))
	}
	low, high := lux("")
	maskedLow, maskedHigh := lux(", mask: 10°")
	if maskedLow != low || high == 0 || maskedHigh != 0 {
		t.Errorf("open %v and %v, masked at 10° %v and %v", low, high, maskedLow, maskedHigh)
	}
}

// A board between a unit and a wall throws the shadow that straight lines
// draw: what is in it is dark, what is outside is as if there were no board.
func TestShadow(t *testing.T) {
	const board = `
boxes:
  board: {centre: [0 m, 0 m, 2 m], size: [1 m, 0.02 m, 1 m], material: nothing}
`
	points := `
audience:
  - {name: middle, at: [0 m, 3.9 m, 2 m], looks at: [0 m, -4 m, 2 m]}
  - {name: just inside, at: [0.95 m, 3.9 m, 2 m], looks at: [0.95 m, -4 m, 2 m]}
  - {name: just outside, at: [1.01 m, 3.9 m, 2 m], looks at: [1.01 m, -4 m, 2 m]}
  - {name: above, at: [0 m, 3.9 m, 3.01 m], looks at: [0 m, -4 m, 3.01 m]}
`
	rg := hang(t, "units:\n  - {unit: a, type: spot, address: 1, at: [0 m, -4 m, 2 m], aim: [0 m, 4 m, 2 m]}\n", spot(t, "spot", "1000 lm", "60°"))
	size := "size: [10 m, 10 m, 4 m]\nstage front: 5 m\n"
	with := solve(t, read(t, black+size+points+board), rg, room.Fineness{Patches: 100, Elements: 20})
	without := solve(t, read(t, black+size+points), rg, room.Fineness{Patches: 100, Elements: 20})
	for _, c := range []struct {
		name string
		dark bool
	}{{"middle", true}, {"just inside", true}, {"just outside", false}, {"above", false}} {
		a, b := with.Lux(c.name, full(rg)), without.Lux(c.name, full(rg))
		if c.dark && a != 0 || !c.dark && a != b {
			t.Errorf("%s: %v with the board, %v without", c.name, a, b)
		}
	}
}

// Which lenses an eye looks into, how far off its gaze, and how bright: the
// luminance of an opening is its intensity over its area, 1000 lm of a 60°
// cosine beam (926.1 cd) from 0.04 m2 is 23 150 cd/m2.
func TestDirectView(t *testing.T) {
	k := square(t)
	rg := hang(t, `
units:
  - {unit: at me, type: square, address: 1, at: [0 m, 0 m, 2 m], aim: [0 m, -4 m, 2 m]}
  - {unit: hidden, type: square, address: 2, at: [3 m, 2 m, 2 m], aim: [0 m, -4 m, 2 m]}
  - {unit: turned away, type: square, address: 3, at: [0 m, 0 m, 3 m], aim: [0 m, 4 m, 3 m]}
`, k)
	r := read(t, black+`
size: [10 m, 10 m, 4 m]
stage front: 5 m
boxes: {board: {centre: [2.5 m, 1 m, 2 m], size: [1 m, 0.1 m, 3 m], material: nothing}}
audience: [{name: me, at: [0 m, -4 m, 2 m], looks at: [4 m, 0 m, 2 m]}]
`)
	tr := solve(t, r, rg, room.Fineness{Patches: 100, Elements: 20})
	if len(tr.Views) != 1 || tr.Views[0].Unit != 0 {
		t.Fatalf("views %+v, want the first unit alone", tr.Views)
	}
	v := &tr.Views[0]
	near(t, "off the gaze", float64(v.OffGaze), math.Pi/4, 1e-6)
	near(t, "distance", float64(v.Distance), 4, 1e-6)
	near(t, "luminance of the lens", float64(tr.LensLuminance(v, full(rg))), 926.1/.04, 1e-3)
}

// A lens of two emitters, by the formula of IEC 62471: blue light radiance is
// radiance times B(λ), here luminance times ∫ S B over 683 ∫ S V, and each
// emitter counts with its upper end. 1000 and 100 lm of a 60° cosine beam (.9261
// cd/lm) leave 0.04 m2.
func TestLensRadiance(t *testing.T) {
	k := kind(t, "square", `
name: square
size: [0.2 m, 0.2 m, 0.1 m]
lens: [0.2 m, 0.2 m]
beam: {half: 60°, shape: cosine power}
emitters:
  lime: {peak: 555 nm, width: 20 nm, output: 1000 lm ± 20 %}
  blue: {peak: 455 nm, width: 20 nm, output: 100 lm}
modes:
  two: {1: {drives: lime}, 2: {drives: blue}}
`)
	rg := hang(t, "units:\n  - {unit: at me, type: square, address: 1, at: [0 m, 0 m, 2 m], aim: [0 m, -4 m, 2 m]}\n", k)
	r := read(t, black+`
size: [10 m, 10 m, 4 m]
stage front: 5 m
audience: [{name: me, at: [0 m, -4 m, 2 m]}]
`)
	tr := solve(t, r, rg, room.Fineness{Patches: 100, Elements: 20})
	blue := light.BlueLight()
	perLumen := func(peak si.Wavelength) float64 {
		s, err := light.LED(peak, 20)
		if err != nil {
			t.Fatal(err)
		}
		return s.Weighted(&blue) / float64(s.LuminousFlux())
	}
	for _, c := range []struct {
		levels             []float32
		luminance, hazards float64
	}{
		{[]float32{0, 0}, 0, 0},
		{[]float32{1, 0}, 1200, 1200 * perLumen(555)},
		{[]float32{0, 1}, 100, 100 * perLumen(455)},
		{[]float32{.5, 1}, 700, 600*perLumen(555) + 100*perLumen(455)},
	} {
		near(t, "luminance at the upper end", tr.LensRadiance(&tr.Views[0], room.Photopic, c.levels), .9261/.04*c.luminance, 1e-3)
		near(t, "blue light", tr.LensRadiance(&tr.Views[0], room.BlueLight, c.levels), .9261/.04*c.hazards, 1e-3)
	}
}
