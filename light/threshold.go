package light

import (
	"math"

	"lampblack/si"
)

// Threshold returns the least luminance that something must have over its background to be
// detected for certain, in cd/m², by an eye that is adapted to the background and has time to
// look (Adrian, Visibility of targets: model for calculation, Lighting Res. Technol. 21, 181,
// 1989, of Blackwell's and Aulhorn's thresholds; from memory):
//
//	ΔL = 2.6 (√Φ/α + √L)² · AF
//
// with α the angle across it in minutes of arc, functions √Φ and √L of the background's
// luminance, and AF for the age in years, 23 to 75 (others count as the nearest). Small things
// need the same light in all (Ricco), large ones the same contrast (Weber). Backgrounds under
// 1e-5 cd/m² count as that: the eye has light of its own.
func Threshold(background si.Luminance, across si.Angle, age float64) si.Luminance {
	lb := min(max(positive(float64(background)), 1e-5), 1e6)
	alpha := max(float64(across)*60*180/math.Pi, .1)
	flux, contrast := summation(lb)
	root := flux/alpha + contrast
	return si.Luminance(2.6 * root * root * aged(age))
}

// summation returns √Φ and √L.
func summation(lb float64) (flux, contrast float64) {
	l := math.Log10(lb)
	switch {
	case lb >= .6:
		return math.Log10(4.1925*math.Pow(lb, .1556)) + .1684*math.Pow(lb, .5867), .05946 * math.Pow(lb, .466)
	case lb > .00418:
		return math.Pow(10, -.072+.3372*l+.0866*l*l), math.Pow(10, -1.256+.319*l)
	}
	return math.Pow(10, .028+.173*l), math.Pow(10, -.891+.5275*l+.0227*l*l)
}

// aged is how much more light an eye of an age needs.
func aged(age float64) float64 {
	if age = min(max(age, 23), 75); age > 64 {
		return (age-56.6)*(age-56.6)/116.3 + 1.43
	}
	return (age-19)*(age-19)/2160 + .99
}

// What LeastSeen takes. A thing is told by parts a fifth as wide as it is, as letters and
// rings for testing eyes are (ISO 8596); a visibility level (how many times the threshold) of
// 10 to 20 makes people sure of what they see where they do not know where it comes (Adrian
// 1987, for roads, from memory). Under .005 cd/m² cones are blind and nothing has a colour
// (CIE 191:2010, the lower end of mesopic vision). Eyes that were in light some minutes ago see
// in the dark by cones still, which then need as much as on a background of some .01 cd/m²
// (Hecht, Haig and Chase, J. Gen. Physiol. 20, 831, 1937: rods take over after ten minutes, from
// memory); ten times that is taken for the slowest, a choice.
const (
	partsAcross         = 5.
	sureLow, sureHigh   = 10., 20.
	young, usually, old = 25., 40., 70.
	colourless          = .005
	minutesOut, justOut = .01, .1 // cd/m2
)

// LeastSeen is the luminance, over its background, from which a thing is seen: Low is where
// young eyes that are used to the dark just detect that something is there, Best where eyes
// of 40 some minutes out of the light are sure of what it is, and its colour, High where eyes
// of 70 are. It leaves out lights that dazzle, which make it more.
func LeastSeen(background si.Luminance, across si.Angle) si.Estimate[si.Luminance] {
	part := across / partsAcross
	return si.Estimate[si.Luminance]{
		Low:  Threshold(background, across, young),
		Best: max(colourless, sureLow*Threshold(max(background, minutesOut), part, usually)),
		High: max(colourless, sureHigh*Threshold(max(background, justOut), part, old)),
	}
}
