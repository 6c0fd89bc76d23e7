package governor

import (
	"fmt"
	"math/rand/v2"
	"os"
	"strings"
	"testing"
	"testing/fstest"

	"lampblack/check/checktest"
	"lampblack/check/seen"
	"lampblack/show"
)

// anyHall is a small room of some sort, with units and eyes somewhere in it.
func anyHall(t testing.TB, r *rand.Rand) *show.Show {
	dir := checktest.Changed(t, checktest.DemoFolder())
	put := func(name, text string) { dir[name] = &fstest.MapFile{Data: []byte(text)} }
	pick := func(of ...string) string { return of[r.IntN(len(of))] }
	within := func(from, to float64) float64 { return from + (to-from)*r.Float64() }
	wide, deep, high := within(3, 9), within(4, 10), within(2.6, 5)
	var rig, room strings.Builder
	rig.WriteString("units:\n")
	for i := range 1 + r.IntN(8) {
		fmt.Fprintf(&rig, "  - {unit: u%d, type: %s, universe: 1, address: %d, at: [%.2f m, %.2f m, %.2f m], aim: [%.2f m, %.2f m, %.2f m], systems: [all]}\n",
			i, pick("par-rgbw-uv", "par-rgb-small", "white-spot", "uv-flood"), 1+12*i,
			within(-wide, wide)*.45, within(-1, .9*(deep-2)), high-.3, within(-wide, wide)*.45, within(0, .9*(deep-2)), within(0, 2))
	}
	paint := func() string { return pick("white paint", "white paint", "black paint", "wood floor") }
	fmt.Fprintf(&room, "size: [%.2f m, %.2f m, %.2f m]\nstage front: 2 m\nwalls: %s\nfloor: %s\nceiling: %s\naudience:\n", wide, deep, high, paint(), paint(), paint())
	for i := range 1 + r.IntN(12) {
		fmt.Fprintf(&room, "  - {name: s%d, at: [%.2f m, %.2f m, 1.2 m]}\n", i, within(-wide, wide)*.45, within(-1.8, -.3))
	}
	put("rig.yaml", rig.String())
	put("room.yaml", room.String())
	put("score.yaml", "looks:\n  dark: {}\ncues:\n  - {cue: 1, at: 0 s, look: dark}\n")
	return checktest.Solved(t, dir)
}

// Whatever comes, on any rig, in any room and from anywhere in it: no eye sees more flashes in
// a second than it may, and over all units there are no more, as the checks count them when it is
// over.
func TestNoEyeSeesTooMany(t *testing.T) {
	rigs, seed := 3, uint64(7)
	if os.Getenv("LAMPBLACK_LONG") != "" {
		rigs = 120
	}
	held, over := 0, 0
	for k := range rigs {
		r := rand.New(rand.NewPCG(seed, uint64(k)))
		s := anyHall(t, r)
		e := seen.New(s.Transport, s.Rig)
		for range 4 {
			rate := 40 + 4*float64(r.IntN(2))
			about, wanted := adverse(s, r, rate)
			out, n := run(s, New(s.Transport, s.Rig, Allowed{}), rate, 6*int(rate), wanted)
			held += min(n, 1)
			if units, eye, by := worst(s, e, &out); units > mostUnits || eye > mostEye {
				over++
				t.Errorf("rig %d of %d units and %d eyes, %s: %d flashes over all units, %d to an eye, by %v; %d frames were held", k, len(s.Rig.Units), len(s.Transport.Eyes), about, units, eye, by, n)
			}
		}
	}
	if t.Logf("%d rigs, each in four lights, of which %d were held: %d pass a limit", rigs, held, over); held < 2*rigs {
		t.Errorf("it is no test: only %d of %d lights were held", held, 4*rigs)
	}
}
