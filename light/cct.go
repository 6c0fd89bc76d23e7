package light

import (
	"fmt"
	"math"
	"sync"
)

// c2 is the second radiation constant in nm·K (ITS-90, as CIE 015:2018 uses).
const c2 = 1.4388e7

// The locus is searched from 500 K to 100 000 K.
const (
	coldest = 500.0
	hottest = 100000.0
)

// Planckian returns the chromaticity of a black body, from 500 to 100000 K.
func Planckian(kelvin float64) (XY, error) {
	if !(kelvin >= coldest && kelvin <= hottest) {
		return XY{}, fmt.Errorf("colour temperature %v K: want %v to %v K", kelvin, coldest, hottest)
	}
	return planck(kelvin).XY(), nil
}

// planck sums over the whole 360 to 830 nm of the observer, as a cold
// radiator has light past the end of the grid.
func planck(kelvin float64) XYZ {
	var c XYZ
	xs, ys, zs := observer.columns["x"], observer.columns["y"], observer.columns["z"]
	for i, nm := range observer.wavelengths {
		m := planckian(nm, kelvin)
		c = c.Plus(XYZ{xs[i], ys[i], zs[i]}, m)
	}
	return c
}

// planckian is Planck's law relative to its value at 560 nm.
func planckian(nm, kelvin float64) float64 {
	return math.Pow(560/nm, 5) * math.Expm1(c2/(560*kelvin)) / math.Expm1(c2/(nm*kelvin))
}

type locusPoint struct{ mired, u, v float64 }

// locus samples the Planckian locus in steps of 1 % of temperature.
var locus = sync.OnceValue(func() []locusPoint {
	var points []locusPoint
	for t := hottest; t >= coldest; t /= 1.01 {
		u, v := uv1960(planck(t).UV())
		points = append(points, locusPoint{1e6 / t, u, v})
	}
	return points
})

// uv1960 is the chart that colour temperature is defined in: v = 2/3 v'.
func uv1960(c UV) (u, v float64) { return c.U, c.V * 2 / 3 }

// goldenMinimum narrows low to high around the minimum of a function with one
// valley, by golden section.
func goldenMinimum(f func(float64) float64, low, high float64, steps int) float64 {
	const ratio = .6180339887498949
	a, b := high-ratio*(high-low), low+ratio*(high-low)
	fa, fb := f(a), f(b)
	for range steps {
		if fa < fb {
			high, b, fb = b, a, fa
			a = high - ratio*(high-low)
			fa = f(a)
		} else {
			low, a, fa = a, b, fb
			b = low + ratio*(high-low)
			fb = f(b)
		}
	}
	return (low + high) / 2
}
