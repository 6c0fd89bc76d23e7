package room_test

import (
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"

	"lampblack/rig"
	"lampblack/room"
)

// wideLens is a lamp of 24 cm by 24 cm.
func wideLens(t testing.TB, more string) *rig.Rig {
	k := kind(t, "wide", `
name: wide
size: [0.24 m, 0.24 m, 0.1 m]
`+more+`
beam: {half: 60°, shape: cosine power}
emitters:
  lime: {peak: 555 nm, width: 20 nm, output: 1000 lm}
modes:
  one: {1: {drives: lime}}
`)
	return hang(t, "units:\n  - {unit: a, type: wide, address: 1, at: [0 m, 2 m, 1.2 m], aim: [0 m, -4 m, 1.2 m]}\n", k)
}

// A pole of 10 cm dims a lens of 24 cm for a row of eyes and hides it from none: by similar
// triangles the pole, half way, covers 20 cm of the lens's plane, and 4 of 24 cm are seen from
// straight behind it.
func TestPoleBeforeALens(t *testing.T) {
	var eyes strings.Builder
	for i := range 9 {
		fmt.Fprintf(&eyes, "  - {at: [%.2f m, -4 m, 1.2 m], looks at: [0 m, 2 m, 1.2 m]}\n", .05*float64(i)-.2)
	}
	const pole = "boxes:\n  pole: {centre: [0 m, -1 m, 1.5 m], size: [0.1 m, 0.001 m, 3 m], material: nothing}\n"
	text := black + "size: [6 m, 10 m, 3 m]\nstage front: 5 m\naudience:\n" + eyes.String()
	rg := wideLens(t, "")
	with, without := solve(t, read(t, text+pole), rg, room.Fineness{Patches: 200, Elements: 40}), solve(t, read(t, text), rg, room.Fineness{Patches: 200, Elements: 40})
	if len(with.Views) != 9 {
		t.Errorf("%d of 9 eyes see the lens", len(with.Views))
	}
	levels := full(rg)
	near(t, "straight behind the pole", with.Reading(with.Eyes[4], room.Photopic, levels)/without.Reading(without.Eyes[4], room.Photopic, levels), 4./24, .01)
	tracer := newTracer(read(t, text+pole), rg, levels)
	rng := rand.New(rand.NewPCG(16, 50))
	for i, place := range with.Eyes {
		mean, err := tracer.mean(rng, spotAt(with, place), []spectrum{luminous()}, .003, 200000)
		if got := with.Reading(place, room.Photopic, levels); got < .98*mean[0]-3*err[0] || got > 1.02*mean[0]+3*err[0] {
			t.Errorf("eye %d: %.3f lx, traced %.3f ± %.3f", i, got, mean[0], err[0])
		}
	}
}

// The luminance of a lens is that of what shines: 926.1 cd on the axis (TestDirectView) from
// the 0.12 m by 0.06 m that the lens is. Where nobody gave the lens, four tenths of the front of 0.24 m by
// 0.24 m shine, and to be on the safe side a tenth of it.
func TestLensLuminanceByLens(t *testing.T) {
	for more, area := range map[string][2]float64{"": {.4 * .24 * .24, .1 * .24 * .24}, "lens: [0.12 m, 0.06 m]": {.12 * .06, .12 * .06}} {
		rg := wideLens(t, more)
		tr := solve(t, read(t, black+"size: [6 m, 10 m, 3 m]\nstage front: 5 m\naudience:\n  - {at: [0 m, -4 m, 1.2 m], looks at: [0 m, 2 m, 1.2 m]}\n"), rg, room.Fineness{Patches: 100, Elements: 20})
		near(t, "luminance with "+more, float64(tr.LensLuminance(&tr.Views[0], full(rg))), 926.1/area[0], 1e-3)
		near(t, "at the most", float64(tr.LensMost(&tr.Views[0], full(rg))), 926.1/area[1], 1e-3)
		near(t, "glare", tr.LensRadiance(&tr.Views[0], room.Photopic, full(rg)), 926.1/area[1], 1e-3)
	}
}
