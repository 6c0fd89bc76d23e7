package seen

import (
	"math"
	"math/rand/v2"
	"testing"
)

// Discs on a sphere overlap as counting random directions says.
func TestOverlap(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 10))
	for _, c := range []struct{ r1, r2, apart float64 }{
		{.05, .087, 0}, {.05, .087, .03}, {.05, .087, .06}, {.05, .087, .1}, {.087, .087, .087}, {.2, .087, .15}, {.2, .087, .28}, {.05, .087, .14},
	} {
		hits, n := 0, 400000
		cap1 := 2 * math.Pi * (1 - math.Cos(c.r1))
		for range n {
			// A direction inside disc 1, whose centre is the z axis.
			z := 1 - r.Float64()*(1-math.Cos(c.r1))
			turn := 2 * math.Pi * r.Float64()
			x := math.Sqrt(1-z*z) * math.Cos(turn)
			if x*math.Sin(c.apart)+z*math.Cos(c.apart) >= math.Cos(c.r2) {
				hits++
			}
		}
		want := cap1 * float64(hits) / float64(n)
		got := overlap(c.r1, c.r2, c.apart)
		if math.Abs(got-want) > .02*cap1 {
			t.Errorf("radii %v and %v, %v apart: %.5f sr, want %.5f sr", c.r1, c.r2, c.apart, got, want)
		}
	}
}

func TestCentres(t *testing.T) {
	s := &sight{items: []eyeItem{{direction: [3]float64{0, 1, 0}}, {direction: [3]float64{0, 0, 1}}, {direction: unitVector([3]float64{.001, 1, 0})}}}
	at := s.centres()
	if len(at) != 10 {
		t.Fatalf("%d directions, want 10: two places, and four beside each", len(at))
	}
	for _, c := range at[2:] {
		near := min(angle(c, at[0]), angle(c, at[1]))
		if math.Abs(near-2*fieldHalf/3) > .001 {
			t.Errorf("a direction %v rad beside its place", near)
		}
	}
}
