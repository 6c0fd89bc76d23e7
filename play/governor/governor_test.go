package governor

import (
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"strings"
	"testing"
	"testing/fstest"
	"time"

	"lampblack/check/checktest"
	"lampblack/check/flash"
	"lampblack/check/seen"
	"lampblack/show"
)

// hall is a room of some units of the demo's types and some eyes.
func hall(t testing.TB, units, eyes int) *show.Show {
	dir := checktest.Changed(t, checktest.DemoFolder())
	put := func(name, text string) { dir[name] = &fstest.MapFile{Data: []byte(text)} }
	kinds := []string{"par-rgbw-uv", "par-rgb-small", "white-spot", "uv-flood"}
	var rig, room strings.Builder
	rig.WriteString("units:\n")
	for i := range units {
		x := -1.8 + 3.6*float64(i)/float64(units)
		fmt.Fprintf(&rig, "  - {unit: u%d, type: %s, universe: %d, address: %d, at: [%.2f m, %.2f m, 2.8 m], aim: [%.2f m, 2.2 m, .6 m], systems: [all]}\n",
			i, kinds[i%4], 1+i/32, 1+12*(i%32), x, float64(i%3), x)
	}
	room.WriteString("size: [4 m, 5 m, 3.2 m]\nstage front: 2 m\nwalls: white paint\nfloor: wood floor\nceiling: white paint\naudience:\n")
	for i := range eyes {
		fmt.Fprintf(&room, "  - {name: s%d, at: [%.1f m, %.1f m, 1.2 m]}\n", i, -1+2*float64(i%6)/6, -1-.25*float64(i/6))
	}
	put("rig.yaml", rig.String())
	put("room.yaml", room.String())
	put("score.yaml", "looks:\n  dark: {}\ncues:\n  - {cue: 1, at: 0 s, look: dark}\n")
	return checktest.Solved(t, dir)
}

// run sends frames through a governor, and returns what went out.
func run(s *show.Show, g *Governor, rate float64, frames int, wanted func(i int, levels, rates []float32)) (out seen.Light, held int) {
	for i := range frames {
		at := time.Duration(float64(i) / rate * 1e9)
		levels, rates := make([]float32, len(s.Rig.Drives)), make([]float32, len(s.Rig.Units))
		wanted(i, levels, rates)
		if g.Pass(at, levels, rates, func(int) bool { return false }) > 0 {
			held++
		}
		out.Times, out.Levels, out.Rates = append(out.Times, at), append(out.Levels, levels), append(out.Rates, rates)
	}
	return out, held
}

// worst is the most flashes in a second over all units, and to any eye, as the checks count.
func worst(s *show.Show, e *seen.Eyes, l *seen.Light) (units, eye int, by seen.Kind) {
	sc := e.Over(l)
	all := sc.Together()
	units = flash.Count(all.Spots, all.Trains, 0).Count
	for i := range s.Transport.Eyes {
		for _, k := range []seen.Kind{seen.GeneralBT, seen.RedWCAG} {
			w, _ := sc.Worst(i, k)
			if w.Count > eye {
				eye, by = w.Count, k
			}
		}
	}
	return units, eye, by
}

// adverse are frames that flash in every way there is.
func adverse(s *show.Show, r *rand.Rand, rate float64) (about string, wanted func(i int, levels, rates []float32)) {
	kind := r.IntN(8)
	hz := .5 * math.Pow(60, r.Float64())
	depth := float32(.05 + .95*r.Float64())
	level := make([]float32, len(s.Rig.Drives))
	phase := make([]float64, len(s.Rig.Units))
	for u := range phase {
		phase[u] = r.Float64()
	}
	colour := make([]float32, len(level))
	for d := range colour {
		colour[d] = float32(r.IntN(2))
	}
	return fmt.Sprintf("kind %d at %.1f Hz, depth %.2f", kind, hz, depth), func(i int, levels, rates []float32) {
		at := float64(i) / rate
		for d := range levels {
			u := s.Rig.Drives[d].Unit
			x := at * hz
			switch kind {
			case 1: // in turn
				x += float64(u) / float64(len(phase))
			case 2: // each its own
				x += phase[u]
			case 3: // a sweep of rates
				x = .5*at + at*at
			}
			_, x = math.Modf(x)
			switch kind {
			case 4: // random
				if r.IntN(6) == 0 {
					level[d] = r.Float32()
				}
				levels[d] = level[d]
			case 5: // a random walk
				level[d] = min(max(level[d]+(r.Float32()-.5)*.4, 0), 1)
				levels[d] = level[d]
			case 6: // colours
				if x < .5 {
					levels[d] = colour[d]
				} else {
					levels[d] = 1 - colour[d]
				}
			case 7: // by themselves, and a beat
				rates[u] = float32(math.Mod(phase[u]*40+at, 12))
				levels[d] = .5 + .5*float32(math.Round(x))*depth
			default: // on and off
				levels[d] = (1-depth)*.5 + depth*float32(math.Round(x))
			}
		}
	}
}

// Whatever comes, what goes out passes the limits as the checks count them.
func TestNothingOverGoesOut(t *testing.T) {
	rounds, seconds := 12, 5
	if os.Getenv("LAMPBLACK_LONG") != "" {
		rounds, seconds = 360, 10 // an hour
	}
	s := hall(t, 8, 3)
	e := seen.New(s.Transport, s.Rig)
	r := rand.New(rand.NewPCG(15, 4))
	const rate = 40.
	held := 0
	for range rounds {
		about, wanted := adverse(s, r, rate)
		out, n := run(s, New(s.Transport, s.Rig, Allowed{}), rate, seconds*int(rate), wanted)
		held += n
		units, eye, by := worst(s, e, &out)
		if units > mostUnits || eye > mostEye {
			t.Errorf("%s: %d flashes over all units, %d to an eye, by %v; %d frames were held", about, units, eye, by, n)
		}
	}
	if held < rounds*seconds {
		t.Errorf("only %d frames were held", held)
	}
}
