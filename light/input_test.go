package light

import (
	"math"
	"strings"
	"testing"

	"lampblack/si"
)

func TestBadEmitters(t *testing.T) {
	nan := si.Wavelength(math.NaN())
	for _, c := range []struct{ peak, width si.Wavelength }{
		{450, 0}, {450, -10}, {450, .4}, {450, 500}, {450, nan}, {nan, 20},
		{0, 20}, {299, 20}, {781, 20}, {450, si.Wavelength(math.Inf(1))}, {780, 60},
	} {
		if s, err := LED(c.peak, c.width); err == nil {
			t.Errorf("an LED of %v and %v: %v", c.peak, c.width, s.Power())
		} else if !strings.HasPrefix(err.Error(), "emitter ") {
			t.Errorf("%v does not say what it is about", err)
		}
	}
	for _, kelvin := range []float64{0, -1, 1999, 1e9, math.NaN(), math.Inf(1)} {
		if _, err := Phosphor(kelvin); err == nil {
			t.Errorf("a phosphor of %v K", kelvin)
		}
		if _, err := BlackBody(kelvin); err == nil && kelvin != 1999 {
			t.Errorf("a black body of %v K", kelvin)
		}
	}
	for _, text := range []string{"", "phosphor", "phosphor 4000", "phosphor -3 K", "phosphor 4000 nm", "CIE F99", "CIE ", "moon"} {
		if _, err := Like(text); err == nil {
			t.Errorf("%q is taken for a source", text)
		}
	}
	for _, text := range []string{"phosphor 4000 K", "black body 3200 K", "CIE LED-V1", "CIE D65"} {
		s, err := Like(text)
		if err != nil {
			t.Error(err)
		}
		near(t, text, float64(s.Power()), 1, 1e-9)
	}
}

func TestBadSpectra(t *testing.T) {
	for name, points := range map[string][]Point{
		"none":     nil,
		"one":      {{500, 1}},
		"NaN":      {{500, 1}, {600, math.NaN()}},
		"negative": {{500, 1}, {600, -1}},
		"infinite": {{500, 1}, {si.Wavelength(math.Inf(1)), 1}},
		"order":    {{500, 1}, {400, 1}},
		"twice":    {{500, 1}, {500, 1}},
	} {
		if _, err := Table(points); err == nil {
			t.Errorf("%s: no error", name)
		}
	}
	s := Grey(1)
	s[42] = math.NaN()
	if err := s.Check(); err == nil || !strings.Contains(err.Error(), "342 nm") {
		t.Errorf("NaN at 342 nm: %v", err)
	}
	s, err := Table([]Point{{200, 0}, {400, 2}, {900, 2}})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "between points", s.At(350), 1.5, 1e-12)
	near(t, "between samples", s.At(350.5), 1.505, 1e-9)
	if s.At(299) != 0 || s.At(781) != 0 || s.At(si.Wavelength(math.NaN())) != 0 {
		t.Error("off the grid is not dark")
	}
}

func TestBadMixes(t *testing.T) {
	one := XYZ{1, 1, 1}
	for name, c := range map[string]struct {
		emitters []XYZ
		watts    []float64
	}{
		"none":           {},
		"too many":       {make([]XYZ, MaxEmitters+1), nil},
		"dark":           {[]XYZ{{}, {}}, nil},
		"negative":       {[]XYZ{one, {1, -1, 1}}, nil},
		"NaN":            {[]XYZ{one, {math.NaN(), 1, 1}}, nil},
		"powers":         {[]XYZ{one}, []float64{1, 2}},
		"power NaN":      {[]XYZ{one}, []float64{math.NaN()}},
		"power negative": {[]XYZ{one}, []float64{-1}},
	} {
		if _, err := NewMixer(c.emitters, c.watts); err == nil {
			t.Errorf("%s: no error", name)
		}
		if _, _, err := Mix(c.emitters, c.watts, one, Exact); err == nil {
			t.Errorf("%s: no error from Mix", name)
		}
	}
	m := mixer(t, exampleEmitters(t), nil)
	for _, target := range []XYZ{{}, {math.NaN(), 1, 1}, {1, math.Inf(1), 1}, {1, -1, 1}, {-1, 1, .1}} {
		drives := []float64{1, 1, 1, 1}
		if got := m.Mix(drives, target, Exact); got.Colour != (XYZ{}) || drives[0] != 0 {
			t.Errorf("target %v gives %v", target, got)
		}
	}
}

// Hostile but finite sets of emitters end in finite drives between 0 and 1.
func FuzzMix(f *testing.F) {
	f.Add(1.0, 1.0, 1.0, 100.0, 50.0, 1.0, 1e-9, 1e9, 0.0, .3, .3, 10.0)
	f.Add(1.0, 1.0, 1.0, 1.0, 1.0, 1.0, 2.0, 2.0, 2.0, .6, .3, 1e-6)
	f.Fuzz(func(t *testing.T, a, b, c, d, e, g, h, i, j, x, y, l float64) {
		m, err := NewMixer([]XYZ{{a, b, c}, {d, e, g}, {h, i, j}}, nil)
		if err != nil {
			return
		}
		var drives [3]float64
		for _, goal := range []Goal{Brightest, Exact, Hue} {
			got := m.Mix(drives[:], XY{x, y}.XYZ(l), goal)
			for _, v := range drives {
				if !(v >= 0 && v <= 1) {
					t.Fatalf("goal %d: drives %v, %+v", goal, drives, got)
				}
			}
		}
	})
}
