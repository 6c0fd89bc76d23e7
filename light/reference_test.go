package light

import (
	"fmt"
	"math"

	"lampblack/si"
)

// What tests hold the package against, and nobody else asks for.

// CCT returns the correlated colour temperature in kelvins, the point of the
// Planckian locus nearest in CIE 1960 uv, and Duv, the distance from it:
// above the locus (greenish) positive, below (pinkish) negative (Ohno, LEUKOS
// 10, 47, 2014; here the nearest point is searched on the locus itself rather
// than in a table). Beyond |Duv| of 0.05 CIE 015:2018 gives it no meaning.
func CCT(c XY) (kelvin, duv float64, err error) {
	if !c.Valid() {
		return 0, 0, fmt.Errorf("chromaticity x %v y %v is no colour of light", c.X, c.Y)
	}
	u, v := uv1960(c.UV())
	points := locus()
	nearest, least := 0, math.Inf(1)
	for i, p := range points {
		if d := math.Hypot(p.u-u, p.v-v); d < least {
			nearest, least = i, d
		}
	}
	low, high := points[max(0, nearest-1)].mired, points[min(len(points)-1, nearest+1)].mired
	distance := func(mired float64) float64 {
		pu, pv := uv1960(planck(1e6 / mired).UV())
		return math.Hypot(pu-u, pv-v)
	}
	mired := goldenMinimum(distance, low, high, 40)
	pu, pv := uv1960(planck(1e6 / mired).UV())
	duv = math.Hypot(pu-u, pv-v)
	// Above the locus means on the far side from (0.292, 0.24), the centre of
	// its curvature (Ohno 2014, section 3).
	if math.Hypot(u-.292, v-.24) < math.Hypot(pu-.292, pv-.24) {
		duv = -duv
	}
	return 1e6 / mired, duv, nil
}

// Mix is NewMixer and its Mix in one, for a single use.
func Mix(emitters []XYZ, watts []float64, target XYZ, goal Goal) (drives []float64, mixture Mixture, err error) {
	m, err := NewMixer(emitters, watts)
	if err != nil {
		return nil, mixture, err
	}
	drives = make([]float64, m.n)
	return drives, m.Mix(drives, target, goal), nil
}

// Photopic is V(λ) of CIE 018:2019, the one that lux and lumens are defined by.
func Photopic() Spectrum { return barY }

// ScotopicWeight is V'(λ) of CIE 018:2019, the dark-adapted eye.
func ScotopicWeight() Spectrum { return barScotopic }

// JuddVos is VM(λ) of CIE 086:1990. V reads violet 7 times too dark at
// 400 nm; use this for how bright violet spill looks, V for legal lux.
func JuddVos() Spectrum { return barVM }

// Physiological is VF(λ) of CIE 170-2:2015 for 2°, from 390 nm.
func Physiological() Spectrum { return barVF }

// UVABand is 1 from 315 to 400 nm, the band of the UV-A limit for the eye.
func UVABand() Spectrum { return uva }

// PointIlluminance is E = I cosθ/d² in lux, with I in candela, d in metres and
// θ between ray and surface normal; zero from behind. It holds from about five
// times the source's largest dimension; nearer, sum over cells.
func PointIlluminance(i si.LuminousIntensity, d si.Length, incidence si.Angle) si.Illuminance {
	return si.Illuminance(float64(i) * max(0, math.Cos(float64(incidence))) / float64(d*d))
}

// Matt is the luminance of a perfectly diffusing surface, L = ρE/π.
func Matt(reflectance si.Ratio, e si.Illuminance) si.Luminance {
	return si.Luminance(float64(reflectance) * float64(e) / math.Pi)
}
