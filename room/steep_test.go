package room_test

import (
	"fmt"
	"math"
	"testing"

	"lampblack/light"
	"lampblack/room"
	"lampblack/si"
)

// A lens of 18 cm with a narrow gaussian beam, seen from its skirts: the mean of I(θ)·cos/d² over 100 by 100 points
// of the lens, which a point at its middle misses by 5 % at 35° off the axis.
func TestSkirtsOfANarrowBeam(t *testing.T) {
	k := kind(t, "par", `
name: par
size: [0.18 m, 0.18 m, 0.2 m]
beam: {half: 25°, shape: gaussian}
emitters:
  lime: {peak: 555 nm, width: 20 nm, output: 1000 lm}
modes:
  one: {1: {drives: lime}}
`)
	rg := hang(t, "units:\n  - {unit: a, type: par, address: 1, at: [0 m, -2 m, 2 m], aim: [0 m, 0 m, 2 m]}\n", k)
	d, err := light.Beam{Half: 25 * math.Pi / 180, Shape: light.Gaussian}.Distribution()
	if err != nil {
		t.Fatal(err)
	}
	for _, off := range []float64{0, 20, 35} {
		x := 2 * math.Tan(off*math.Pi/180)
		r := read(t, black+fmt.Sprintf("size: [10 m, 10 m, 4 m]\nstage front: 5 m\naudience: [{at: [%.6f m, 0 m, 2 m], looks at: [%.6f m, -2 m, 2 m]}]\n", x, x))
		tr := solve(t, r, rg, room.Fineness{Patches: 100, Elements: 20})

		mean := func(n int) float64 {
			sum := 0.0
			for i := range n {
				for j := range n {
					dx, dz := x-.18*((float64(i)+.5)/float64(n)-.5), -.18*((float64(j)+.5)/float64(n)-.5)
					far := math.Sqrt(dx*dx + 4 + dz*dz)
					sum += d.Intensity(si.Angle(math.Acos(2/far))) * 2 / far / (far * far) / float64(n*n)
				}
			}
			return sum * 1000
		}
		got := tr.Reading(tr.Eyes[0], room.Photopic, full(rg))
		t.Logf("%v°: %.4f, want %.4f, of a point %.4f", off, got, mean(100), mean(1))
		near(t, fmt.Sprintf("%v° off the axis", off), got, mean(100), .005)
	}
}
