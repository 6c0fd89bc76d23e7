package flash

import (
	"math/rand/v2"
	"slices"
	"testing"
	"time"
)

// Followed while it goes on, light has the flashes that are found in it when it is over:
// all of those are among the ones that were completed on the way.
func TestFollowers(t *testing.T) {
	r := rand.New(rand.NewPCG(15, 3))
	found, followed := 0, 0
	for range 300 {
		times, values, colours := walk(r)
		var instants Instants
		var f Follower
		red := FollowRed(&Red, 128)
		var leads, reds []Lead
		for i, at := range times {
			instants.Add(at)
			if _, completes := f.Next(&BT, &instants, values[i]/2); completes && r.IntN(2) == 0 {
				_ = completes // asking takes nothing
			}
			if l, completes := f.Next(&BT, &instants, values[i]); completes {
				leads = append(leads, l)
			}
			f.Take(&BT, &instants, values[i])
			if l, completes := red.Next(&instants, colours[i]); completes {
				reds = append(reds, l)
			}
			red.Take(&instants, colours[i])
		}
		for name, pair := range map[string]struct {
			of   []Flash
			from []Lead
		}{"general": {General(&BT, times, values), leads}, "red": {RedFlashes(&Red, times, colours), reds}} {
			for _, l := range pair.of {
				if !slices.Contains(pair.from, Lead{l.At, l.Up}) {
					t.Fatalf("%s: the flash at %v (up %v) was not completed on the way: %v", name, l.At, l.Up, pair.from)
				}
			}
			found += len(pair.of)
			followed += len(pair.from)
		}
	}
	// A change that goes on after it counted may be half done so late that it is no flash.
	if found < 1000 || followed > found*11/10 {
		t.Errorf("%d flashes, and %d were completed on the way", found, followed)
	}
}

// walk is five seconds of frames that jump, fade and stand, from colour to colour.
func walk(r *rand.Rand) (times []time.Duration, values []float32, colours []Colour) {
	at, from, to := time.Duration(0), Colour{}, Colour{}
	for at < 5*time.Second {
		from = to
		to = Colour{X: r.Float32() * 200, Y: r.Float32() * 200, Z: r.Float32() * 200}
		if r.IntN(2) == 0 {
			to = Colour{X: to.Y * 2, Y: to.Y, Z: 0} // red
		}
		for n, i := 1+r.IntN(20), 0; i <= n; i++ {
			share := float32(i) / float32(n)
			c := Colour{from.X + share*(to.X-from.X), from.Y + share*(to.Y-from.Y), from.Z + share*(to.Z-from.Z)}
			times, values, colours = append(times, at), append(values, c.Y), append(colours, c)
			at += 22727 * time.Microsecond
		}
	}
	return times, values, colours
}
