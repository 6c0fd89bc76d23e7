package light

import (
	"fmt"
	"math"

	"lampblack/si"
)

// ohnoWidth is FWHM/D of Ohno's shape: its parameter D is not the FWHM.
// It solves (g+2g⁵)/3 = 1/2 for g = exp(-(FWHM/2D)²).
const ohnoWidth = 0.92182312

// LED returns one watt from a single-colour LED by Ohno's model (Opt. Eng.
// 44, 111302, 2005): S = (g+2g⁵)/3, g = exp(-((λ-peak)/D)²), with D chosen so
// that the full width at half maximum is width.
//
// Peak is 300 to 780 nm, width 0.5 to 200 nm, and at most a twentieth of the
// light may fall off the grid.
func LED(peak, width si.Wavelength) (Spectrum, error) {
	var s Spectrum
	if !(peak >= First && peak <= Last) {
		return s, fmt.Errorf("emitter peak %v nm: want %d to %d nm", float64(peak), First, Last)
	}
	if !(width >= .5 && width <= 200) {
		return s, fmt.Errorf("emitter width %v nm: want 0.5 to 200 nm (full width at half maximum)", float64(width))
	}
	d := float64(width) / ohnoWidth
	lost := 0.0
	for nm := First - 400; nm <= Last+400; nm++ {
		v := ohno(float64(nm), float64(peak), d)
		if nm < First || nm > Last {
			lost += v
		} else {
			s[nm-First] = v
		}
	}
	if total := lost + float64(s.Power()); lost > total/20 {
		return Spectrum{}, fmt.Errorf("emitter peak %v nm, width %v nm: %.0f %% of the light is outside %d to %d nm", float64(peak), float64(width), 100*lost/total, First, Last)
	}
	s.Normalise()
	return s, nil
}

func ohno(nm, peak, d float64) float64 {
	g := math.Exp(-(nm - peak) * (nm - peak) / (d * d))
	return (g + 2*math.Pow(g, 5)) / 3
}
