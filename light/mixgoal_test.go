package light

import (
	"cmp"
	"math"
	"math/rand/v2"
	"slices"
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

// Out of reach, the chromaticity that is taken looks as near, at its level, as
// the nearest of a dense net of mixes, give or take what CIEDE2000 is good for
// (30 % and 0.5), and no mix that looks so near is nearer in u'v' by more than
// a hair. All luminances here are found anew, by brute force.
func TestOutOfReachLooksNearest(t *testing.T) {
	r := rand.New(rand.NewPCG(4, 4))
	worst := 0.0
	for range cases(150) {
		emitters := randomEmitters(r, 4)
		m := mixer(t, emitters, nil)
		wanted := randomChromaticity(r).UV()
		level := math.Pow(10, -2*r.Float64())
		got, miss := Nearest([]*Mixer{m}, wanted, level)
		if miss == 0 {
			continue
		}
		all := 0.0
		for _, e := range emitters {
			all += e.Y
		}
		// The luminance: that of the mix nearest in u'v' at its brightest.
		var net []XYZ
		eachDrive(len(emitters), 20, func(share []float64) {
			if c := m.Colour(share); c.Y > 0 {
				net = append(net, c)
			}
		})
		off := func(c UV) float64 { return math.Hypot(c.U-wanted.U, c.V-wanted.V) }
		nearestUV := slices.MinFunc(net, func(a, b XYZ) int { return cmp.Compare(off(a.UV()), off(b.UV())) }).UV()
		y := max(level*m.Most(m.gamut.closest(wanted)), all/1000)
		white := XYZ{.95047 * all, all, 1.08883 * all} // D65, IEC 61966-2-1
		lab := func(c UV) Lab { return c.XY().XYZ(y).Lab(white) }
		target := lab(wanted)
		least := math.Inf(1)
		for _, c := range net {
			least = min(least, DeltaE2000(lab(c.UV()), target))
		}
		if mine := DeltaE2000(lab(got), target); math.Abs(mine-miss) > .05+.01*miss || mine > 1.3*least+.8 {
			t.Errorf("emitters %v, %v at %.3f: reported %v, is %v; the net has %v", emitters, wanted, level, miss, mine, least)
		}
		if off(got) < off(nearestUV)-1e-3 {
			continue // the net has nothing so near
		}
		for _, c := range net {
			if DeltaE2000(lab(c.UV()), target) < 1.25*least+.3 {
				worst = max(worst, off(got)-off(c.UV()))
			}
		}
	}
	t.Logf("of what looks as near, the nearest in u'v' is nearer by %.4f at most", worst)
	if worst > .02 {
		t.Errorf("of what looks as near, the nearest in u'v' is nearer by %.4f", worst)
	}
}

// An orange of one wavelength on four emitters (629, 519 and 454 nm, and white):
// 603 nm lies .006 in u'v' from what they reach, and landed .065 away.
func TestSpectralOrangeStaysOrange(t *testing.T) {
	w := phosphorWhite(t)
	m := mixer(t, []XYZ{led2(t, 629).Times(2), led2(t, 519), led2(t, 454).Times(2), w}, nil)
	c, err := ParseColour("603 nm")
	if err != nil {
		t.Fatal(err)
	}
	drives := make([]float64, 4)
	for _, level := range []float64{1, .3, .05, .005} {
		got, _ := Nearest([]*Mixer{m}, c.XY.UV(), level)
		if off := got.Distance(c.XY.UV()); off > .011 {
			t.Errorf("at %v it lands %.4f away in u'v'", level, off)
		}
	}
	if off := m.Mix(drives, c.XY.XYZ(1), Brightest).Colour.UV().Distance(c.XY.UV()); off > .011 {
		t.Errorf("its brightest lands %.4f away in u'v'", off)
	}
}

func phosphorWhite(t *testing.T) XYZ {
	s, err := Like("phosphor 6500 K")
	if err != nil {
		t.Fatal(err)
	}
	return s.XYZ().Times(300 / float64(s.LuminousFlux()))
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
