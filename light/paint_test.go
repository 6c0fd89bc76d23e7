package light

import (
	"math"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"lampblack/si"
)

// Under a 395 nm wash of 1 W/m² spill on grey is low and paints glow; a
// brightener glows under 365 and far less under 405 nm (absorption 0.727 to
// 0.050 of its maximum, McNamara and Boswell), though in what is white with it less so than thin.
func TestPaintsGlow(t *testing.T) {
	e395, e365, e405 := led(t, 395, 13), led(t, 366, 9), led(t, 408, 13)
	for _, p := range Paints() {
		if err := p.Check(); err != nil {
			t.Error(err)
		}
		if p.Source == "" || p.Factor < 1 {
			t.Errorf("%s: no source or uncertainty", p.Name)
		}
		l := p.GlowLuminance(&e395)
		if glows := strings.HasPrefix(p.Name, "fluorescent") || strings.HasPrefix(p.Name, "optical"); glows != (l > .3) {
			t.Errorf("%s: glows with %v under 1 W/m² of 395 nm", p.Name, l)
		}
		got, err := PaintNamed(p.Name)
		if err != nil || got.Name != p.Name {
			t.Errorf("%s: %v", p.Name, err)
		}
	}
	cloth, err := PaintNamed("optical white cloth")
	if err != nil {
		t.Fatal(err)
	}
	if a, b := cloth.GlowLuminance(&e365), cloth.GlowLuminance(&e405); a < 2.5*b {
		t.Errorf("white cloth: %v under 365, %v under 405", a, b)
	}
	if _, err := PaintNamed("gold"); err == nil {
		t.Error("a paint that is not there was found")
	}
}

// A paint never gives back more power than falls on it, whatever falls.
func TestPaintKeepsEnergy(t *testing.T) {
	paints := Paints()
	rapid.Check(t, func(t *rapid.T) {
		p := paints[rapid.IntRange(0, len(paints)-1).Draw(t, "paint")]
		e, err := LED(si.Wavelength(rapid.Float64Range(380, 700).Draw(t, "peak")), si.Wavelength(rapid.Float64Range(5, 60).Draw(t, "width")))
		if err != nil {
			t.Fatal(err)
		}
		glow, back := p.Glow(&e), p.Reflected(&e)
		if out := glow.Power() + back.Power(); !(out >= 0 && out <= 1+1e-9) {
			t.Fatalf("%s gives back %v of 1 W", p.Name, out)
		}
	})
}

// A table that is sampled more coarsely than the coat it is of glows as the coat does.
func TestMeasuredPaint(t *testing.T) {
	p, err := PaintNamed("fluorescent yellow-green")
	if err != nil {
		t.Fatal(err)
	}
	var b Bispectral
	for nm := si.Wavelength(300); nm <= 540; nm += 10 {
		b.Excitation = append(b.Excitation, nm)
	}
	for nm := si.Wavelength(440); nm <= 720; nm += 10 {
		b.Emission = append(b.Emission, nm)
	}
	for _, x := range b.Excitation {
		full := p.Fluorescence.row(p.Fluorescence.Factors[int(x-First)/fine])
		var row []float64
		for _, m := range b.Emission {
			row = append(row, full.At(m))
		}
		b.Factors = append(b.Factors, row)
	}
	measured := Paint{Name: "measured", Fluorescence: &b, Factor: 1.1}
	if err := measured.Check(); err != nil {
		t.Fatal(err)
	}
	for _, peak := range []si.Wavelength{366, 395, 450} {
		e := led(t, peak, 14)
		want := float64(p.GlowLuminance(&e))
		near(t, "luminance", float64(measured.GlowLuminance(&e)), want, .02*want)
	}
}

func TestBadPaints(t *testing.T) {
	good := func() Paint {
		p, err := PaintNamed("fluorescent green")
		if err != nil {
			t.Fatal(err)
		}
		b := *p.Fluorescence
		b.Factors = slices.Clone(b.Factors)
		p.Fluorescence = &b
		return p
	}
	table := func(factors ...[]float64) func(*Paint) {
		return func(p *Paint) {
			p.Fluorescence = &Bispectral{[]si.Wavelength{365, 395}, []si.Wavelength{500, 600}, factors}
		}
	}
	for name, spoil := range map[string]func(*Paint){
		"bright":    func(p *Paint) { p.Reflectance[100] = 1.1 },
		"negative":  func(p *Paint) { p.Reflectance[100] = -.1 },
		"NaN":       func(p *Paint) { p.Reflectance[100] = math.NaN() },
		"more back": func(p *Paint) { p.Reflectance[400-First] = .9 },
		"two for one": func(p *Paint) {
			p.Fluorescence.Factors[10] = make([]float64, samples)
			p.Fluorescence.Factors[10][70] = .15
		},
		"NaN row":     func(p *Paint) { p.Fluorescence.Factors[10] = slices.Repeat([]float64{math.NaN()}, samples) },
		"table shape": func(p *Paint) { p.Fluorescence = &Bispectral{} },
		"table rows":  table([]float64{1, 2}, []float64{1}),
		"table gain":  table([]float64{1, 2}, []float64{1, 2}),
	} {
		p := good()
		if err := p.Check(); err != nil {
			t.Fatal(err)
		}
		spoil(&p)
		if p.Check() == nil {
			t.Errorf("%s: no error", name)
		}
	}
}

func BenchmarkGlow(b *testing.B) {
	p, err := PaintNamed("fluorescent orange")
	if err != nil {
		b.Fatal(err)
	}
	e := led(b, 395, 13)
	b.ReportAllocs()
	for b.Loop() {
		p.Glow(&e)
	}
}
