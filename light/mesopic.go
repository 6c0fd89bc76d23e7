package light

import (
	"math"

	"lampblack/si"
)

// Mesopic returns the luminance that a half-dark-adapted eye sees, and its
// adaptation m (0 rods only, 1 cones only), by CIE 191:2010:
//
//	L = (m Lp + (1-m) Ls v)/(m + (1-m) v),  m = 0.7670 + 0.3334 log10 L
//
// with v = 683/1699. The published fixed-point iteration does not settle for
// extreme ratios, as violet has; here L is found by bisection and m clamped.
// Photopic is in cd/m², scotopic in scotopic cd/m². Luminances that are not
// positive, or not numbers, count as darkness.
func Mesopic(photopic, scotopic si.Luminance) (luminance si.Luminance, adaptation float64) {
	p, s := positive(float64(photopic)), positive(float64(scotopic))
	// m runs from 0 to 1; the residual below rises through zero just once in
	// m unless s outweighs p so much that a higher m means less light, and
	// then too it keeps its signs at the ends.
	low, high := 0.0, 1.0
	for range 60 {
		m := (low + high) / 2
		if AdaptationAt(mesopicMix(p, s, m)) > m {
			low = m
		} else {
			high = m
		}
	}
	m := (low + high) / 2
	if m > 1-1e-12 {
		m = 1
	}
	if m < 1e-12 {
		m = 0
	}
	return si.Luminance(mesopicMix(p, s, m)), m
}

// SeenAt is Mesopic with the adaptation given, as for an object seen by an eye
// that is adapted to something else.
func SeenAt(photopic, scotopic si.Luminance, adaptation float64) si.Luminance {
	return si.Luminance(mesopicMix(positive(float64(photopic)), positive(float64(scotopic)), adaptation))
}

// mesopicShare is V'(555 nm) as CIE 191 takes it.
const mesopicShare = 683. / 1699

func mesopicMix(p, s, m float64) float64 {
	return (m*p + (1-m)*s*mesopicShare) / (m + (1-m)*mesopicShare)
}

// AdaptationAt is the adaptation m of an eye that a luminance fills, in cd/m².
func AdaptationAt(l float64) float64 {
	if l <= 0 {
		return 0
	}
	return min(1, max(0, .7670+.3334*math.Log10(l)))
}

func positive(v float64) float64 {
	if v > 0 && !math.IsInf(v, 0) {
		return v
	}
	return 0
}
