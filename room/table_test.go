package room_test

import (
	"math"
	"testing"

	"lampblack/room"
	"lampblack/wire/lm63"
)

// A lamp with an intensity table that is not round lights eyes by the half plane that they are in: E = I/d², of I =
// cosθ·(1 + a sin²θ), whose flux is π + 2·(mean of a)·π/4 (∫ 2π cosθ sin³θ dθ = π/2). The row of a lamp that aims
// away from the audience runs toward negative x, and a quarter on from it is down (package lm63: counter-clockwise
// as seen from behind).
func TestTableAround(t *testing.T) {
	strength := map[float64]float64{0: 1, 90: .5, 180: 0, 270: 0, 360: 1} // a, by horizontal angle
	f := &lm63.File{Edition: 1986, Lamps: 1, Lumens: -1, Multiplier: 1, Type: lm63.C, Ballast: 1, Third: 1, Horizontal: []float64{0, 90, 180, 270, 360}}
	for v := range 91 {
		f.Vertical = append(f.Vertical, float64(v))
	}
	for _, h := range f.Horizontal {
		var col []float64
		for _, v := range f.Vertical {
			sin, cos := math.Sincos(v * math.Pi / 180)
			col = append(col, math.Max(0, 1000*cos*(1+strength[h]*sin*sin)))
		}
		f.Table = append(f.Table, col)
	}
	data, err := f.Append(nil)
	if err != nil {
		t.Fatal(err)
	}
	entry := kind(t, "table", `
name: with a table
intensity: lamp.ies
emitters:
  lime: {peak: 555 nm, width: 20 nm, output: 1000 lm}
modes:
  one: {1: {drives: lime}}
`)
	if faults := entry.Value.ReadIntensity("lamp.ies", data); faults.Err() != nil {
		t.Fatal(faults)
	}
	rg := hang(t, `
units:
  - {unit: a, type: table, address: 1, at: [0 m, -5 m, 2 m], aim: [0 m, 0 m, 2 m]}
`, entry)
	r := read(t, black+`
size: [20 m, 20 m, 4 m]
stage front: 10 m
audience:
  - {name: ahead, at: [0 m, -3 m, 2 m], looks at: [0 m, -5 m, 2 m]}
  - {name: along, at: [-1 m, -4 m, 2 m], looks at: [0 m, -5 m, 2 m]}
  - {name: against, at: [1 m, -4 m, 2 m], looks at: [0 m, -5 m, 2 m]}
  - {name: under, at: [0 m, -4 m, 1 m], looks at: [0 m, -5 m, 2 m]}
  - {name: over, at: [0 m, -4 m, 3 m], looks at: [0 m, -5 m, 2 m]}
`)
	tr := solve(t, r, rg, room.Fineness{Patches: 200, Elements: 30})
	mean := (1 + .5 + 0 + 0) / 4 // by trapezoids all around
	flux := math.Pi * (1 + mean/2)
	at := func(a float64) float64 { return 1000 / flux * math.Sqrt(.5) * (1 + a/2) / 2 } // at 45°, √2 m away
	for eye, want := range map[string]float64{"ahead": 1000 / flux / 4, "along": at(1), "against": at(0), "under": at(.5), "over": at(0)} {
		near(t, eye, float64(tr.Lux(eye, full(rg))), want, 2e-3)
	}
}
