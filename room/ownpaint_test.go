package room_test

import (
	"strings"
	"testing"

	"lampblack/room"
)

const withPaints = `
paints:
  tail paint: {like: fluorescent orange, glow: 0.5 (0.3 to 0.8), emission: [{at: 580 nm, power: 0}, {at: 620 nm, power: 3}, {at: 680 nm, power: 0}]}
  belly paint: {like: fluorescent orange, reflectance: [{at: 400 nm, share: 5 %}, {at: 700 nm, share: 60 %}]}
`

// An object in a paint of the room's own glows by what was measured of that.
func TestOwnPaint(t *testing.T) {
	glow := func(paint string) room.Glow {
		rg := hang(t, "units:\n  - {unit: uv, type: bl, address: 1, at: [0 m, -1.5 m, 1.5 m], aim: [0 m, 1.5 m, 1.5 m]}\n", kind(t, "bl", blackLight))
		r := read(t, strings.Replace(glowRoom, "paint: fluorescent yellow-green", "paint: "+paint, 1)+withPaints)
		if ok, of, _ := r.Fluoresces("fish"); !ok || of != paint {
			t.Errorf("%s: %v, %v", paint, ok, of)
		}
		g, _ := solve(t, r, rg, room.Fineness{Patches: 600, Elements: 60}).Glow("fish", []float32{1})
		return g
	}
	orange, tail, belly := glow("fluorescent orange"), glow("tail paint"), glow("belly paint")
	near(t, "belly", belly.Own.Y, orange.Own.Y, 1e-3)
	near(t, "redder", tail.Own.XY().X, .69, .03)                                       // 620 nm
	near(t, "low end", float64(tail.Luminance.Low/tail.Luminance.Best), .8*.3/.5, .01) // the lamp is ± 20 %
	if tail.Own.Y > .6*orange.Own.Y {
		t.Errorf("half as strong, and redder: %v of %v", tail.Own.Y, orange.Own.Y)
	}
}

func TestOwnPaintFaults(t *testing.T) {
	for text, want := range map[string]string{
		"a: {like: flourescent pink}":                                           `there is no paint "flourescent pink"`,
		"a: {glow: 2}":                                                          "like",
		"a: {like: brick, glow: 2}":                                             "does not fluoresce, and has a glow",
		"fluorescent pink: {like: fluorescent red}":                             "is a generic paint already",
		"a: {like: fluorescent red, glow: -1}":                                  "lies outside 0 to 100",
		"a: {like: fluorescent red, glow: 1e9}":                                 "lies outside 0 to 100",
		"a: {like: fluorescent red, reflectance: [{at: 400 nm, share: 200 %}]}": "outside 0 % to 98 %",
		"a: {like: fluorescent red, emission: [{at: 500 nm, power: 1}, {at: 400 nm, power: 1}]}": "goes wrong at 400 nm",
		"a: {like: fluorescent red, emission: [{at: 500 nm, power: -1}]}":                        "goes wrong at 500 nm",
		"a: {like: fluorescent red, emission: [{at: 500 nm, power: 0}, {at: 600 nm, power: 0}]}": "has no light",
		"a: {like: fluorescent red, glow: 1.2 (0.8 to 2)}":                                       "",
	} {
		r, faults := room.Read("room.yaml", []byte(glowRoom+"paints:\n  "+text+"\n"))
		said := ""
		for _, f := range faults {
			said += f.Text + " "
		}
		if !strings.Contains(said, want) || (want == "") != (said == "") {
			t.Errorf("%s: said %q, want %q", text, said, want)
		}
		if _, ok := r.Reflectance("fluorescent red"); !ok {
			t.Errorf("%s: nothing to compute with", text)
		}
	}
}
