package room_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"slices"
	"strings"
	"testing"

	"lampblack/light"
	"lampblack/rig"
	"lampblack/room"
)

// generic hangs one unit of every built-in type in a drawn room.
func (g *drawing) generic(t testing.TB) *rig.Rig {
	var b strings.Builder
	b.WriteString("units:\n")
	for i, k := range rig.Generic() {
		modes := k.Value.Modes
		fmt.Fprintf(&b, "  - {unit: u%d, type: %s, mode: %s, universe: %d, address: 1, at: [%.3f m, %.3f m, %.3f m], aim: [%.3f m, %.3f m, %.3f m]}\n", i, k.Name, modes[len(modes)-1].Name, i+1,
			g.between(-.4, .4)*g.w, g.between(-.5, .7), g.h-g.between(.3, .6), g.between(-1, 1), g.between(1, 3), g.between(.5, 2))
	}
	return hang(t, b.String())
}

// Colours of all surfaces in rooms with coloured walls, painted things with their glow among them, in the light of
// every emitter of the built-in types alone and of all together, against the same rooms solved at 97
// wavelengths: CIEDE2000 below 1 for all. The eye is adapted to the room: its white is of D65's colour, and as
// bright as a perfect one in the mean illuminance of all surfaces.
func TestColoursAtWalls(t *testing.T) {
	rooms := 4
	if os.Getenv("LAMPBLACK_LONG") != "" {
		rooms = 30
	}
	var all, once []float64
	for i := range rooms {
		g := drawing{rng: rand.New(rand.NewPCG(17, uint64(i)))}
		r := read(t, g.room())
		rg := g.generic(t)
		few := solve(t, r, rg, room.Fineness{Patches: 400, Elements: 100})
		one := solve(t, r, rg, room.Fineness{Patches: 400, Elements: 100, Bands: 1})
		full := solve(t, r, rg, room.Fineness{Patches: 400, Elements: 100, Bands: 97})
		off := apart(few, full)
		t.Logf("room %d, walls of %s, floor of %s: %d bands, the largest difference %.2f", i, r.Walls.Name, r.Floor.Name, few.Bands(), slices.Max(off))
		all, once = append(all, off...), append(once, apart(one, full)...)
	}
	slices.Sort(all)
	slices.Sort(once)
	t.Logf("%d colours: median %.3f, 99 of 100 within %.2f, 9,999 of 10,000 within %.2f, largest %.2f; carried at one wavelength: %.2f, %.2f, %.2f", len(all),
		all[len(all)/2], all[len(all)*99/100], all[len(all)*9999/10000], all[len(all)-1], once[len(once)/2], once[len(once)*99/100], once[len(once)-1])
	if worst := all[len(all)-1]; worst >= 1 {
		t.Errorf("the largest colour is off by %.2f", worst)
	}
	if all[len(all)*99/100] > once[len(once)*99/100]/4 {
		t.Error("one wavelength does nearly as well: the rooms have no colours, or the bands do nothing")
	}
}

// apart is CIEDE2000 between two transports, for all bare patches.
func apart(a, b *room.Transport) (out []float64) {
	white := make([]float64, len(a.Light)+1) // lx, the mean over the room
	area := 0.0
	for i, p := range b.Places {
		area += p.Area
		for d, lux := range b.Row(i, room.Photopic) {
			white[d] += p.Area * lux
			white[len(a.Light)] += p.Area * lux
		}
	}
	for i := range a.Places {
		if a.Places[i].Panel < 0 || a.Places[i].Area == 0 {
			continue
		}
		got, want := a.ColourRow(i), b.ColourRow(i)
		var allGot, allWant light.XYZ
		for d := range got {
			allGot, allWant = allGot.Plus(got[d], 1), allWant.Plus(want[d], 1)
			out = append(out, differ(got[d], want[d], white[d]/area))
		}
		out = append(out, differ(allGot, allWant, white[len(got)]/area))
	}
	return out
}

func differ(a, b light.XYZ, lux float64) float64 {
	white := light.WhiteD65.XYZ(lux / math.Pi)
	return light.DeltaE2000(a.Lab(white), b.Lab(white))
}
