package light

import (
	"math"
	"testing"

	"lampblack/si"
)

func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s: got %v, want %v within %v", what, got, want, tolerance)
	}
}

func illuminant(t *testing.T, name string) Spectrum {
	t.Helper()
	s, err := Illuminant(name)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// CIE 015:2018: chromaticities of the standard illuminants.
func TestWhitePoints(t *testing.T) {
	for _, c := range []struct {
		name string
		want XY
	}{{"D65", XY{.31270, .32900}}, {"A", XY{.44758, .40745}}, {"E", XY{1. / 3, 1. / 3}}} {
		s := illuminant(t, c.name)
		got := s.XYZ().XY()
		near(t, c.name+" x", got.X, c.want.X, 5e-5)
		near(t, c.name+" y", got.Y, c.want.Y, 5e-5)
	}
}

func led(t testing.TB, peak, width si.Wavelength) Spectrum {
	t.Helper()
	s, err := LED(peak, width)
	if err != nil {
		t.Fatal(err)
	}
	return s
}
