package light

import (
	"math"
	"math/rand/v2"
	"os"
	"testing"

	"lampblack/si"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/optimize/convex/lp"
)

// exampleMixer is four emitters whose brightest mixes were found with an
// independent linear programme: Ohno LEDs of 629/15, 519/32 and 454/18 nm with
// 1.2, 0.7 and 1.6 W, and 1.2 W of CIE LED-B5.
func exampleEmitters(t testing.TB) []XYZ {
	t.Helper()
	white, err := Illuminant("LED-B5")
	if err != nil {
		t.Fatal(err)
	}
	var all []XYZ
	for _, e := range []struct {
		s     Spectrum
		watts float64
	}{{led(t, 629, 15), 1.2}, {led(t, 519, 32), .7}, {led(t, 454, 18), 1.6}, {white, 1.2}} {
		all = append(all, e.s.XYZ().Times(e.watts))
	}
	return all
}

func TestBrightestMixWorkedExample(t *testing.T) {
	m, err := NewMixer(exampleEmitters(t), nil)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		target XY
		drives [4]float64
		lumens float64
	}{
		{XY{.3127, .3290}, [4]float64{.52360, 1, .22036, 1}, 810.528},
		{XY{.44758, .40745}, [4]float64{1, .95810, 0, .41073}, 680.672},
		{XY{.40, .25}, [4]float64{1, 0, .24886, .99085}, 609.933},
		{XY{.20, .35}, [4]float64{0, 1, .20121, .40083}, 467.899},
	} {
		var drives [4]float64
		got := m.Mix(drives[:], c.target.XYZ(1), Brightest)
		near(t, "lumens", got.Colour.Y, c.lumens, .02)
		for i := range drives {
			near(t, "drive", drives[i], c.drives[i], 2e-4)
		}
	}
}

// randomEmitters draws 1 to most emitters, LEDs and phosphor whites, of 0.1
// to 3 W.
func randomEmitters(r *rand.Rand, most int) []XYZ {
	var all []XYZ
	for range 1 + r.IntN(most) {
		w := .1 + 2.9*r.Float64()
		if r.IntN(4) == 0 {
			all = append(all, phosphors[r.IntN(len(phosphors))].Times(w))
			continue
		}
		all = append(all, ledColours[r.IntN(len(ledColours))].Times(w))
	}
	return all
}

var phosphors, ledColours = func() (w, c []XYZ) {
	for kelvin := 2700.; kelvin <= 8000; kelvin += 530 {
		s, err := Phosphor(kelvin)
		if err != nil {
			panic(err)
		}
		w = append(w, s.XYZ())
	}
	for peak := 420; peak <= 660; peak += 3 {
		s, err := LED(si.Wavelength(peak), si.Wavelength(14+peak%20))
		if err != nil {
			panic(err)
		}
		c = append(c, s.XYZ())
	}
	return w, c
}()

func mixer(t testing.TB, emitters []XYZ, watts []float64) *Mixer {
	t.Helper()
	m, err := NewMixer(emitters, watts)
	if err != nil {
		t.Fatalf("%v: %v", emitters, err)
	}
	return m
}

// cases is n where there is time (test.sh sets LAMPBLACK_LONG), a tenth else.
func cases(n int) int {
	if os.Getenv("LAMPBLACK_LONG") == "" {
		return n / 10
	}
	return n
}

// In-gamut targets are hit within u'v' 0.0005. No mix is brighter than any of
// 200 directions around the body of mixes allows (a bound that needs no
// solver), nor dimmer by 0.1 % than gonum's simplex method finds.
func TestBrightestMix(t *testing.T) {
	r := rand.New(rand.NewPCG(4, 1))
	worst, hits, simplex := 0.0, 0, 0
	for i := range 10000 {
		emitters := randomEmitters(r, 8)
		m := mixer(t, emitters, nil)
		drives := make([]float64, len(emitters))
		for k := range drives {
			drives[k] = r.Float64() * float64(r.IntN(2)+r.IntN(2)) / 2
		}
		target := m.Colour(drives)
		if target.Y == 0 {
			continue
		}
		hits++
		got := m.Mix(drives, target, Brightest)
		miss := got.Colour.UV().Distance(target.UV())
		worst = max(worst, miss)
		if miss > 5e-4 {
			t.Fatalf("case %d: emitters %v: target %v reached %v, off by %v", i, emitters, target.UV(), got.Colour.UV(), miss)
		}
		if got.Colour.Y < target.Y*(1-1e-6) {
			t.Fatalf("case %d: %v lm, but the target's own drives gave %v", i, got.Colour.Y, target.Y)
		}
		if bound := directionBound(r, emitters, got.Colour); got.Colour.Y > bound*(1+1e-6) {
			t.Fatalf("case %d: brighter (%v) than a direction allows (%v)", i, got.Colour.Y, bound)
		}
		if i%10 == 0 && len(emitters) > 3 {
			most, ok := simplexMost(emitters, target)
			if !ok {
				continue
			}
			simplex++
			if got.Colour.Y < most*.999 || got.Colour.Y > most*1.001 {
				t.Errorf("case %d: %v lm, simplex %v", i, got.Colour.Y, most)
			}
		}
	}
	t.Logf("%d targets, worst u'v' %.2g, %d against simplex", hits, worst, simplex)
}

// directionBound is the least luminance, over random directions, at which the
// target's ray must have left the body of mixes: for any n with n·c = 1,
// Y <= Σ max(0, n·a).
func directionBound(r *rand.Rand, emitters []XYZ, target XYZ) float64 {
	least := math.Inf(1)
	for range 200 {
		n := XYZ{r.NormFloat64(), r.NormFloat64(), r.NormFloat64()}
		along := (n.X*target.X + n.Y*target.Y + n.Z*target.Z) / target.Y
		if along < 0 {
			n, along = n.Times(-1), -along
		}
		sum := 0.0
		for _, a := range emitters {
			sum += max(0, n.X*a.X+n.Y*a.Y+n.Z*a.Z)
		}
		least = min(least, sum/along)
	}
	return least
}

// simplexMost solves the linear programme max Y at the target's chromaticity
// with slack for 0 <= drive <= 1.
func simplexMost(emitters []XYZ, target XYZ) (float64, bool) {
	n := len(emitters)
	// Variables: n drives, n slacks, and the scale s of the target.
	a := mat.NewDense(n+3, 2*n+1, nil)
	b := make([]float64, n+3)
	cost := make([]float64, 2*n+1)
	cost[2*n] = -1
	unit := 0.0
	for _, e := range emitters {
		unit = max(unit, e.X, e.Y, e.Z)
	}
	for i, e := range emitters {
		a.Set(0, i, e.X/unit)
		a.Set(1, i, e.Y/unit)
		a.Set(2, i, e.Z/unit)
		a.Set(3+i, i, 1)
		a.Set(3+i, n+i, 1)
		b[3+i] = 1
	}
	largest := max(target.X, target.Y, target.Z)
	a.Set(0, 2*n, -target.X/largest)
	a.Set(1, 2*n, -target.Y/largest)
	a.Set(2, 2*n, -target.Z/largest)
	value, _, err := lp.Simplex(cost, a, b, 1e-10, nil)
	if err != nil {
		return 0, false
	}
	return -value * unit * target.Y / largest, true
}

func TestMixDoesNotAllocate(t *testing.T) {
	m := mixer(t, exampleEmitters(t), nil)
	var drives [4]float64
	for _, target := range []XYZ{WhiteD65.XYZ(300), {100, 50, 900}, WhiteD65.XYZ(5000)} {
		for _, goal := range []Goal{Brightest, Exact, Hue} {
			if n := testing.AllocsPerRun(20, func() { m.Mix(drives[:], target, goal) }); n != 0 {
				t.Errorf("goal %v: %v allocations", goal, n)
			}
		}
	}
}

func BenchmarkMixInGamut(b *testing.B)   { benchmarkMix(b, WhiteD65.XYZ(300), Exact) }
func BenchmarkMixOutside(b *testing.B)   { benchmarkMix(b, XY{.1, .8}.XYZ(300), Hue) }
func BenchmarkMixNearest(b *testing.B)   { benchmarkMix(b, XY{.1, .8}.XYZ(300), Exact) }
func BenchmarkMixBrightest(b *testing.B) { benchmarkMix(b, WhiteD65.XYZ(1), Brightest) }

func benchmarkMix(b *testing.B, target XYZ, goal Goal) {
	m := mixer(b, exampleEmitters(b), nil)
	var drives [4]float64
	b.ReportAllocs()
	for b.Loop() {
		m.Mix(drives[:], target, goal)
	}
}

// simplexPower solves the linear programme min watts·drives at the target.
func simplexPower(emitters []XYZ, watts []float64, target XYZ) (float64, bool) {
	n := len(emitters)
	a := mat.NewDense(n+3, 2*n, nil)
	b, cost := make([]float64, n+3), make([]float64, 2*n)
	unit := 0.0
	for _, e := range emitters {
		unit = max(unit, e.X, e.Y, e.Z)
	}
	for i, e := range emitters {
		cost[i] = watts[i]
		a.Set(0, i, e.X/unit)
		a.Set(1, i, e.Y/unit)
		a.Set(2, i, e.Z/unit)
		a.Set(3+i, i, 1)
		a.Set(3+i, n+i, 1)
		b[3+i] = 1
	}
	b[0], b[1], b[2] = target.X/unit, target.Y/unit, target.Z/unit
	value, _, err := lp.Simplex(cost, a, b, 1e-10, nil)
	return value, err == nil
}
