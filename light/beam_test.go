package light

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"lampblack/si"
)

func degrees(v float64) si.Angle { return si.Angle(v * math.Pi / 180) }

func distribution(t testing.TB, b Beam) *Distribution {
	t.Helper()
	d, err := b.Distribution()
	if err != nil {
		t.Fatal(err)
	}
	return d
}

// Peak candela per kilolumen and field angle: n = ln 0.5/ln cos(b/2),
// I0 = Φ(n+1)/2π; Gaussian by an independent numeric integral; flat-top
// Φ/(2π(1-cos(b/2))). 120° is the Lambertian, 1000/π.
func TestPeakIntensity(t *testing.T) {
	for _, c := range []struct{ beam, cosine, field, gaussian, flat float64 }{
		{10, 29094.5, 18.20, 29025.2, 41824.5},
		{15, 12998.8, 27.25, 12929.7, 18603.4},
		{25, 4757.8, 45.14, 4688.8, 6714.3},
		{40, 1932.7, 71.16, 1864.4, 2639.1},
		{60, 926.1, 103.35, 860.3, 1187.9},
		{120, 318.31, 168.52, 297.5, 318.3},
	} {
		half := degrees(c.beam)
		cosine := distribution(t, Beam{Half: half})
		near(t, "cosine", 1000*cosine.Peak(), c.cosine, .06)
		near(t, "field", float64(cosine.Edge(.1)), float64(degrees(c.field)), 1e-4)
		near(t, "beam", float64(cosine.Edge(.5)), float64(half), 1e-9)
		near(t, "gaussian", 1000*distribution(t, Beam{Half: half, Shape: Gaussian}).Peak(), c.gaussian, .06)
		near(t, "flat", 1000*distribution(t, Beam{Half: half, Shape: Flat}).Peak(), c.flat, .06)
	}
	// Small angles: I0 = Φ ln2/(π (b/2)²); 28972.2 at 10°.
	near(t, "small angle", distribution(t, Beam{Half: degrees(1), Shape: Gaussian}).Peak()*math.Pi*math.Pow(math.Pi/360, 2)/math.Ln2, 1, 1e-4)
}

// A Gaussian's field angle is 1.8226 of its beam angle: √(ln 10/ln 2).
func TestSoftBeamMeetsBothAngles(t *testing.T) {
	gaussian := distribution(t, Beam{Half: degrees(20), Shape: Gaussian})
	soft := distribution(t, Beam{Half: degrees(20), Tenth: degrees(20 * 1.8226154)})
	near(t, "same as gaussian", soft.Peak(), gaussian.Peak(), 1e-4)
	for _, tenth := range []float64{41, 60, 72, 120} {
		d := distribution(t, Beam{Half: degrees(40), Tenth: degrees(tenth)})
		near(t, "half", float64(d.Edge(.5)), float64(degrees(40)), 1e-6)
		near(t, "tenth", float64(d.Edge(.1)), float64(degrees(tenth)), 1e-6)
	}
}

// Whatever the shape, the flux into all directions is one, by an independent
// midpoint sum.
func TestBeamFluxIsOne(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		half := rapid.Float64Range(2, 150).Draw(t, "half")
		b := Beam{Half: degrees(half), Shape: rapid.SampledFrom([]Shape{Cosine, Gaussian, Flat, Soft}).Draw(t, "shape")}
		if b.Shape == Soft {
			b.Tenth = degrees(min(179.9, half*rapid.Float64Range(1.05, 3).Draw(t, "tenth")))
		}
		d, err := b.Distribution()
		if err != nil {
			t.Fatal(err)
		}
		if sum := sphere(d, b); math.Abs(sum-1) > 3e-3 {
			t.Fatalf("%v: flux %v", b, sum)
		}
		theta := rapid.Float64Range(0, 1.5).Draw(t, "theta")
		if a, b := d.Intensity(si.Angle(theta)), d.IntensityCos(math.Cos(theta)); math.Abs(a-b) > 1e-6*d.Peak() && d.shape != Flat {
			t.Fatalf("%v by angle, %v by cosine", a, b)
		}
	})
}

// sphere is the flux into all directions, ∫ I 2π sin θ dθ, by midpoints. Half of
// them lie within twice the half angle, so that narrow beams are as fine as wide
// ones, and the edge of a flat beam is an edge of a step: a rule that runs over
// it is off by up to a step's share of the beam.
func sphere(d *Distribution, b Beam) float64 {
	edges := []float64{0, float64(b.Half) / 2, min(float64(b.Half), math.Pi), math.Pi}
	sum := 0.0
	for i := 1; i < len(edges); i++ {
		const steps = 10000
		step := (edges[i] - edges[i-1]) / steps
		for k := range steps {
			theta := edges[i-1] + (float64(k)+.5)*step
			sum += 2 * math.Pi * d.Intensity(si.Angle(theta)) * math.Sin(theta) * step
		}
	}
	return sum
}

func TestCandelaTable(t *testing.T) {
	// 100 cd all round are 400π lm.
	near(t, "isotropic", float64(Flux([]Ray{{0, 100}, {degrees(180), 100}})), 400*math.Pi, 1e-9)
	lambert := distribution(t, Beam{Half: degrees(120)})
	var rays []Ray
	for off := 0.0; off <= 90; off++ {
		rays = append(rays, Ray{degrees(off), si.LuminousIntensity(lambert.Intensity(degrees(off)) * 750)})
	}
	near(t, "flux", float64(Flux(rays)), 750, .1)
	d := distribution(t, Beam{Candela: rays})
	near(t, "peak", d.Peak(), 1/math.Pi, 1e-4)
	near(t, "at 30.5°", d.Intensity(degrees(30.5)), math.Cos(float64(degrees(30.5)))/math.Pi, 1e-4)
}

func TestBadBeams(t *testing.T) {
	nan := si.Angle(math.NaN())
	for name, b := range map[string]Beam{
		"nothing":        {},
		"0°":             {Half: 0, Shape: Flat},
		"180°":           {Half: degrees(180)},
		"under 0.1°":     {Half: degrees(.0999)},
		"360°":           {Half: degrees(360)},
		"negative":       {Half: degrees(-20)},
		"NaN":            {Half: nan},
		"field < beam":   {Half: degrees(40), Tenth: degrees(30)},
		"field NaN":      {Half: degrees(40), Tenth: nan},
		"field 360°":     {Half: degrees(40), Tenth: degrees(360)},
		"shape":          {Half: degrees(40), Shape: "donut"},
		"soft, no field": {Half: degrees(40), Shape: Soft},
		"table: one row": {Candela: []Ray{{0, 1}}},
		"table: dark":    {Candela: []Ray{{0, 0}, {1, 0}}},
		"table: order":   {Candela: []Ray{{0, 1}, {1, 1}, {.5, 1}}},
		"table: start":   {Candela: []Ray{{.1, 1}, {1, 1}}},
		"table: cd < 0":  {Candela: []Ray{{0, 1}, {1, -1}}},
		"table: NaN":     {Candela: []Ray{{0, si.LuminousIntensity(math.NaN())}, {1, 1}}},
	} {
		if d, err := b.Distribution(); err == nil {
			t.Errorf("%s: no error, peak %v", name, d.Peak())
		}
	}
}

// The narrowest and the widest beams that are told to be taken are taken.
func TestBeamsAtTheEnds(t *testing.T) {
	for name, b := range map[string]Beam{
		"0.1°":       {Half: degrees(.1001)},
		"179°":       {Half: degrees(179)},
		"field 179°": {Half: degrees(40), Tenth: degrees(179)},
		"all round":  {Half: degrees(90), Candela: []Ray{{0, 1}, {degrees(180), 1}}},
	} {
		d := distribution(t, b)
		near(t, name+" flux", sphere(d, b), 1, .01)
	}
}

func TestPeakEstimateSpansTheShapes(t *testing.T) {
	e, err := Beam{Half: degrees(25)}.PeakEstimate()
	if err != nil {
		t.Fatal(err)
	}
	near(t, "best", 1000*float64(e.Best), 4757.8, .1)
	near(t, "low", 1000*float64(e.Low), 4688.8, .1)
	near(t, "high", 1000*float64(e.High), 6714.3, .1)
}
