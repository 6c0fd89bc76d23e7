package room_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"lampblack/room"
)

// axis is the irradiance on the axis of one unit that radiates at 395 nm, at
// several distances, facing it, in uW/cm2.
func axis(t *testing.T, size, cells, beam, watts string, at ...float64) []float64 {
	t.Helper()
	k := kind(t, "unit", fmt.Sprintf(`
name: unit
size: %s
cells: %s
beam: %s
emitters:
  uv: {peak: 395 nm, width: 11 nm, output: %s}
modes:
  one: {1: {drives: uv}}
`, size, cells, beam, watts))
	rg := hang(t, "units:\n  - {unit: a, type: unit, address: 1, at: [0 m, -5 m, 2 m], aim: [0 m, 0 m, 2 m]}\n", k)
	var eyes strings.Builder
	for _, d := range at {
		fmt.Fprintf(&eyes, "  - {at: [0 m, %.3f m, 2 m], looks at: [0 m, -5 m, 2 m]}\n", d-5)
	}
	r := read(t, black+"size: [20 m, 20 m, 4 m]\nstage front: 10 m\naudience:\n"+eyes.String())
	tr := solve(t, r, rg, room.Fineness{Patches: 100, Elements: 20})
	var out []float64
	for _, place := range tr.Eyes {
		out = append(out, 100*tr.Reading(place, room.Radiant, full(rg)))
	}
	return out
}

// A metre-long bar is not a point. The values on the axis of typical units, in
// uW/cm2, were worked out by a separate first-order calculation (gaussian
// beams that hold all the power, bars of twelve cells summed one by one, the
// wide flood by the cosine law) and are printed to two or three digits.
func TestIrradianceOnTheAxis(t *testing.T) {
	distances := []float64{.5, 1, 2, 3, 4, 5}
	for _, c := range []struct {
		what, size, cells, beam, watts string
		want                           []float64
		digit                          float64 // half of the last digit printed
	}{
		{"bar, 40°", "[1 m, 0 m, 0.1 m]", "12", "{half: 40°, shape: gaussian}", "8 W", []float64{2100, 950, 325, 155, 90, 58}, .5},
		{"bar, 60°", "[1 m, 0 m, 0.1 m]", "12", "{half: 60°, shape: gaussian}", "8 W", []float64{1320, 520, 160, 74, 42, 27}, .5},
		{"par, 40°", "[0 m, 0 m, 0.1 m]", "1", "{half: 40°, shape: gaussian}", "8 W", []float64{5970, 1490, 370, 166, 93, 60}, 5},
		{"par, 25°", "[0 m, 0 m, 0.1 m]", "1", "{half: 25°, shape: gaussian}", "12 W", []float64{0, 5600, 1400, 625, 350, 225}, 5},
		{"flood", "[0 m, 0 m, 0.1 m]", "1", "{half: 120°, shape: cosine power}", "30 W", []float64{3800, 950, 240, 106, 60, 38}, .5},
	} {
		got := axis(t, c.size, c.cells, c.beam, c.watts, distances...)
		for i, want := range c.want {
			if want == 0 {
				continue
			}
			t.Logf("%s at %.1f m: %.1f, printed %v (%+.1f %%)", c.what, distances[i], got[i], want, 100*(got[i]/want-1))
			if math.Abs(got[i]-want) > .02*want+c.digit {
				t.Errorf("%s at %.1f m: %.1f uW/cm2, printed %v", c.what, distances[i], got[i], want)
			}
		}
	}
	bar := axis(t, "[1 m, 0 m, 0.1 m]", "12", "{half: 40°, shape: gaussian}", "8 W", .5, 1)
	point := axis(t, "[0 m, 0 m, 0.1 m]", "1", "{half: 40°, shape: gaussian}", "8 W", .5, 1)
	for i, want := range []float64{2.8, 1.6} {
		if got := point[i] / bar[i]; math.Abs(got-want) > .05 {
			t.Errorf("the point formula over-reads %.2f times, printed %v", got, want)
		}
	}
}
