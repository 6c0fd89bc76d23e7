package light

import (
	"math"
	"math/rand/v2"
	"testing"
)

// randomChromaticity mixes three spectral colours: any colour that exists.
func randomChromaticity(r *rand.Rand) XY {
	var c XYZ
	for range 3 {
		i := 420 + r.IntN(240) - First
		c = c.Plus(XYZ{barX[i], barY[i], barZ[i]}, r.ExpFloat64())
	}
	return c.XY()
}

// The least power over a fine net of exact mixes, found with simplex for three
// equations, is a lower bound; the mix may cost more by what smoothness takes.
func TestExactMixCostsLittleMoreThanTheLeast(t *testing.T) {
	r := rand.New(rand.NewPCG(4, 2))
	worst, sum, count := 0.0, 0.0, 0
	for range 1000 {
		emitters := randomEmitters(r, 8)
		if len(emitters) < 4 {
			continue
		}
		watts := make([]float64, len(emitters))
		drives := make([]float64, len(emitters))
		for k := range drives {
			watts[k] = 1 + 9*r.Float64()
			drives[k] = r.Float64()
		}
		m := mixer(t, emitters, watts)
		target := m.Colour(drives)
		got := m.Mix(drives, target, Exact)
		if got.Miss > .01 || got.Colour.UV().Distance(target.UV()) > 5e-4 || math.Abs(got.Colour.Y/target.Y-1) > 1e-4 {
			t.Fatalf("emitters %v: target %v reached %v", emitters, target, got)
		}
		least, ok := simplexPower(emitters, watts, target)
		if !ok {
			continue
		}
		excess := float64(got.Power)/least - 1
		worst, sum, count = max(worst, excess), sum+excess, count+1
		if excess < -.02 || excess > .2 {
			t.Errorf("%v W, the least is %v", got.Power, least)
		}
	}
	t.Logf("%d mixes: power above the least: mean %.1f %%, worst %.1f %%", count, 100*sum/float64(count), 100*worst)
}

// Out of reach, no drives of a brute-force grid come nearer by CIEDE2000.
func TestExactMixOutOfReachIsNearest(t *testing.T) {
	r := rand.New(rand.NewPCG(4, 3))
	worst := 0.0
	for range cases(200) {
		emitters := randomEmitters(r, 4)
		m := mixer(t, emitters, nil)
		drives := make([]float64, len(emitters))
		most := 0.0
		for _, e := range emitters {
			most += e.Y
		}
		target := randomChromaticity(r).XYZ(most * (.02 + .6*r.Float64()))
		got := m.Mix(drives, target, Exact)
		best := gridNearest(m, target, 20)
		if best < 20 {
			worst = max(worst, got.Miss-best)
		}
		if got.Miss > best+.3 && best < 20 || got.Miss > 1.2*best+.3 {
			t.Errorf("emitters %v target %v: miss %v at %v, grid %v", emitters, target, got.Miss, drives, best)
		}
	}
	t.Logf("worst excess over the grid: %.3f", worst)
}

// Out of gamut, the brightest mix has the chromaticity that is nearest of all
// that a grid of shares can make, within 2 %. Beyond 10, CIEDE2000 is outside what it was
// made for, and only the number is checked.
func TestBrightestMixOutOfGamutIsNearest(t *testing.T) {
	r := rand.New(rand.NewPCG(4, 4))
	for range cases(200) {
		emitters := randomEmitters(r, 4)
		m := mixer(t, emitters, nil)
		drives := make([]float64, len(emitters))
		target := randomChromaticity(r).UV()
		got := m.Mix(drives, target.XY().XYZ(1), Brightest)
		if d := DeltaE2000(labOf(got.Colour.UV()), labOf(target)); math.Abs(d-got.Miss) > .05 {
			t.Errorf("emitters %v target %v: reported a miss of %v, is %v", emitters, target, got.Miss, d)
		}
		eachDrive(len(emitters), 16, func(share []float64) {
			c := m.Colour(share)
			if c.Y == 0 {
				return
			}
			if d := DeltaE2000(labOf(c.UV()), labOf(target)); d < .98*got.Miss-.02 && got.Miss < 10 {
				t.Fatalf("emitters %v target %v: miss %v, but %v reaches %v", emitters, target, got.Miss, share, d)
			}
		})
	}
}

func gridNearest(m *Mixer, target XYZ, steps int) float64 {
	best := math.Inf(1)
	eachDrive(m.n, steps, func(drives []float64) {
		best = min(best, difference(m.Colour(drives), target))
	})
	return best
}

func eachDrive(n, steps int, f func([]float64)) {
	drives := make([]float64, n)
	var walk func(int)
	walk = func(i int) {
		if i == n {
			f(drives)
			return
		}
		for k := range steps + 1 {
			drives[i] = float64(k) / float64(steps)
			walk(i + 1)
		}
	}
	walk(0)
}

// A target that moves smoothly moves the drives smoothly: cutting its steps to
// a sixteenth cuts the greatest change of a drive by far, where a jump would
// stay. Paths are in gamut but leave what brightness allows.
func TestMixIsContinuous(t *testing.T) {
	r := rand.New(rand.NewPCG(4, 5))
	steepest := 0.0
	for i := range cases(200) {
		emitters := randomEmitters(r, 8)
		m := mixer(t, emitters, nil)
		a, b := make([]float64, m.n), make([]float64, m.n)
		for k := range a {
			a[k], b[k] = r.Float64(), r.Float64()
		}
		from, to := m.Colour(a), m.Colour(b).Times(.2+2*r.Float64())
		for _, goal := range []Goal{Brightest, Hue} {
			coarse, fine := largestStep(m, from, to, goal, 500), largestStep(m, from, to, goal, 8000)
			if goal == Hue {
				steepest = max(steepest, fine*8000)
			}
			if fine > coarse/2 && fine > .15 {
				t.Errorf("case %d, goal %d, emitters %v, from %v to %v: a drive moves by %.4f in 1/500 and %.4f in 1/8000 of the way", i, goal, emitters, from, to, coarse, fine)
			}
		}
	}
	t.Logf("steepest drive: %.0f times its range per path", steepest)
}

func largestStep(m *Mixer, from, to XYZ, goal Goal, steps int) float64 {
	before, now := make([]float64, m.n), make([]float64, m.n)
	largest := 0.0
	for k := range steps + 1 {
		m.Mix(now, from.Plus(to.Plus(from, -1), float64(k)/float64(steps)), goal)
		for i := range now {
			if k > 0 {
				largest = max(largest, math.Abs(now[i]-before[i]))
			}
		}
		copy(before, now)
	}
	return largest
}
