package light

import (
	"fmt"
	"math"

	"lampblack/si"
)

// The grid: First, First+1, … Last nanometres.
const (
	First = 300
	Last  = 780
	N     = Last - First + 1
)

// Spectrum is a spectral density on the grid: watts per nanometre for a
// source, W/m²/nm for an irradiance, a plain factor for a reflectance or a
// weight. s[i] belongs to First+i nanometres.
type Spectrum [N]float64

// Point is one row of a measured spectrum.
type Point struct {
	At    si.Wavelength
	Value float64
}

// Table samples a measured spectrum on the grid: linear between points, zero
// outside them. Points ascend and are finite and not negative.
func Table(points []Point) (Spectrum, error) {
	var s Spectrum
	if len(points) < 2 {
		return s, fmt.Errorf("spectrum: has %d points, want at least 2", len(points))
	}
	xs, ys := make([]float64, len(points)), make([]float64, len(points))
	for i, p := range points {
		xs[i], ys[i] = float64(p.At), p.Value
		if !finite(xs[i]) || !finite(ys[i]) || ys[i] < 0 {
			return s, fmt.Errorf("spectrum: point %d (%v nm, %v): want finite numbers and no negative value", i+1, xs[i], ys[i])
		}
		if i > 0 && xs[i] <= xs[i-1] {
			return s, fmt.Errorf("spectrum: point %d at %v nm does not come after %v nm", i+1, xs[i], xs[i-1])
		}
	}
	for i := range s {
		s[i] = interpolate(xs, ys, float64(First+i))
	}
	return s, nil
}

func finite(v float64) bool { return !math.IsNaN(v) && !math.IsInf(v, 0) }

// Check reports a NaN, an infinity or a negative value, with its wavelength.
func (s *Spectrum) Check() error {
	for i, v := range s {
		if !finite(v) || v < 0 {
			return fmt.Errorf("spectrum: %v at %d nm: want a finite number, zero or more", v, First+i)
		}
	}
	return nil
}

// At returns the value at a wavelength, linear between samples.
func (s *Spectrum) At(w si.Wavelength) float64 {
	x := float64(w) - First
	if !(x >= 0 && x <= N-1) {
		return 0
	}
	i := min(int(x), N-2)
	return s[i] + (x-float64(i))*(s[i+1]-s[i])
}

// Power is the integral of s: the radiant flux of a source in watts.
func (s *Spectrum) Power() si.Power {
	sum := 0.0
	for _, v := range s {
		sum += v
	}
	return si.Power(sum)
}

// Weighted is the integral of s times w.
func (s *Spectrum) Weighted(w *Spectrum) float64 {
	sum := 0.0
	for i, v := range s {
		sum += v * w[i]
	}
	return sum
}

// Add adds other, times factor, in place and returns s.
func (s *Spectrum) Add(other *Spectrum, factor float64) *Spectrum {
	for i := range s {
		s[i] += other[i] * factor
	}
	return s
}

// Scale multiplies in place and returns s.
func (s *Spectrum) Scale(factor float64) *Spectrum {
	for i := range s {
		s[i] *= factor
	}
	return s
}

// Multiply multiplies by w wavelength by wavelength, in place (a reflection,
// a filter), and returns s.
func (s *Spectrum) Multiply(w *Spectrum) *Spectrum {
	for i := range s {
		s[i] *= w[i]
	}
	return s
}

// Normalise scales s in place to one watt. A dark spectrum stays dark.
func (s *Spectrum) Normalise() *Spectrum {
	if p := float64(s.Power()); p > 0 {
		s.Scale(1 / p)
	}
	return s
}

// Mean is the centroid of s in nanometres, 0 for a dark spectrum.
func (s *Spectrum) Mean() si.Wavelength {
	sum, moment := 0.0, 0.0
	for i, v := range s {
		sum += v
		moment += v * float64(First+i)
	}
	if sum == 0 {
		return 0
	}
	return si.Wavelength(moment / sum)
}

// Grey returns a spectrum of one value, as a grey reflectance is.
func Grey(value float64) Spectrum {
	var s Spectrum
	for i := range s {
		s[i] = value
	}
	return s
}
