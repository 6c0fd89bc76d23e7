package room_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"strings"
	"testing"

	"lampblack/room"
)

// behindDrapes is a room cut in two by drapes: units before them, a wall and people behind.
func behindDrapes(drapes string) string {
	return `
size: [6 m, 8 m, 3 m]
stage front: 4 m
walls: grey paint
floor: grey paint
ceiling: grey paint
surfaces:
` + drapes + `
audience:
  - {name: just behind, at: [0.3 m, 2.2 m, 1.5 m], looks at: [0.3 m, 4 m, 1.5 m]}
  - {name: behind and turned, at: [-1 m, 2.4 m, 1.2 m], looks at: [-1 m, 0 m, 1.2 m]}
  - {name: far behind, at: [1.3 m, 3.5 m, 1.6 m], looks at: [0 m, 2 m, 1.5 m]}
`
}

func drape(name string, from, to, y float64) string {
	return fmt.Sprintf("  %s: {material: grey cloth, centre: [%.4f m, %.3f m, 1.5 m], width: %.4f m, height: 3 m, faces: [0 m, -1 m, 0 m]}\n", name, (from+to)/2, y, to-from)
}

// What comes past drapes is what a path tracer says, within 10 % or a hundredth of a lux (four
// hundredths where two overlap): nothing past a sealed one, whatever the grid; what finds its way
// round; what a joint and a slit let through.
func TestDrapesTellTheTruth(t *testing.T) {
	rg := hang(t, `
units:
  - {unit: a, type: spot, address: 1, at: [-1 m, -2 m, 2.6 m], aim: [-0.5 m, 2 m, 1 m]}
  - {unit: b, type: spot, address: 2, at: [1.5 m, -1 m, 2.6 m], aim: [1 m, 2 m, 1.4 m]}
`, spot(t, "spot", "3000 lm", "60°"))
	places, within, most := 14, .012, 60000
	if os.Getenv("LAMPBLACK_LONG") != "" {
		places, within, most = 40, .005, 2000000
	}
	for _, c := range []struct {
		name, drapes string
		lux          float64 // that may be missed
	}{
		{"sealed", drape("whole", -3, 3, 2), .01},
		{"sealed near a line of the grid", drape("whole", -3, 3, 1.97), .01},
		// A patch looks around from its middle, and misses what only its edge sees through the slot.
		{"overlapped", drape("left", -3, .4, 2) + drape("right", -.4, 3, 2.15), .01},
		{"jointed by 1 cm", drape("left", -3, .395, 2) + drape("right", .405, 3, 2), .01},
		{"slit of 10 cm", drape("left", -3, -.7, 2) + drape("right", -.6, 3, 2), .01},
	} {
		r := read(t, behindDrapes(c.drapes))
		tr, levels := solve(t, r, rg, room.Usual), full(rg)
		tracer := newTracer(r, rg, levels)
		rng := rand.New(rand.NewPCG(16, 40))
		var all []comparison
		for _, place := range behind(tr, rng, places) {
			all = append(all, compared(t, tr, tracer, rng, place, levels, within, most)...)
		}
		for _, v := range all {
			if off := math.Abs(v.got - v.want); off > max(.1*v.want, c.lux)+3*v.by {
				t.Errorf("%s: %s: %.4f lx, traced %.4f ± %.4f", c.name, v.what, v.got, v.want, v.by)
			}
		}
		worst := 0.0
		for _, v := range all {
			if v.want > .1 {
				worst = max(worst, v.off())
			}
		}
		t.Logf("%s: %d places, brightest %.3f lx; the largest difference where there is more than 0.1 lx: %.1f %%", c.name, len(all), brightest(all), 100*worst)
		if strings.HasPrefix(c.name, "sealed") && brightest(all) > 1e-6 {
			t.Errorf("%s: %v lx come through", c.name, brightest(all))
		}
	}
}

func brightest(all []comparison) (most float64) {
	for _, v := range all {
		most = max(most, v.got)
	}
	return most
}

// behind draws places behind the drapes, and all eyes.
func behind(tr *room.Transport, rng *rand.Rand, n int) []int {
	out := append([]int(nil), tr.Eyes...)
	for len(out) < n {
		i := rng.IntN(len(tr.Places))
		if p := &tr.Places[i]; p.Panel >= 0 && p.Area > 0 && p.Kind == room.KindWall && p.At[1] > 2.15 {
			out = append(out, i)
		}
	}
	return out
}
