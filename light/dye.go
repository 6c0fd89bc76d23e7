package light

import (
	"cmp"
	"math"
	"slices"

	"lampblack/si"
)

// dye holds the published numbers of a fluorescent dye: absorption relative to
// its maximum at seven wavelengths, and its emission.
type dye struct {
	name             string
	peak             float64    // nm, absorption maximum
	relative         [5]float64 // absorption at 365, 385, 395, 405, 450 nm; maximum 1
	emits, wide, avg float64    // nm: emission peak, full width at half maximum, mean
	yield            float64    // photons
}

// PhotochemCAD 3 (Taniguchi and Lindsey, Photochem. Photobiol. 94, 290, 2018),
// dilute solutions at room temperature. The brightener is of the stilbene type
// at pH 9.4 (McNamara and Boswell's set), relative to its maximum at 254 nm;
// its yield is not published there, 0.8 is that of such brighteners on cellulose, from memory.
var (
	coumarin1   = dye{"coumarin 1", 373.2, [5]float64{.935, .870, .497, .184, .001}, 445, 63, 461.1, .50}
	coumarin151 = dye{"coumarin 151", 384, [5]float64{.831, .999, .911, .719, .011}, 484, 72, 506.6, .53}
	coumarin343 = dye{"coumarin 343", 444.8, [5]float64{.193, .421, .568, .711, .968}, 462, 66, 480.2, .63}
	coumarin6   = dye{"coumarin 6", 459.2, [5]float64{.027, .109, .191, .312, .990}, 500, 61, 524.6, .78}
	pyranine    = dye{"pyranine", 454, [5]float64{.126, .219, .252, .273, .981}, 512, 53, 525.5, 1}
	fluorescein = dye{"fluorescein", 500.2, [5]float64{.022, .019, .017, .014, .116}, 540, 35, 558.6, .97}
	rhodamineB  = dye{"rhodamine B", 542.8, [5]float64{.061, .030, .031, .031, .014}, 565, 38, 581.9, .70}
	rhodamine6G = dye{"rhodamine 6G", 529.8, [5]float64{.024, .016, .015, .012, .026}, 552, 57, 573.3, .95}
	sulfo101    = dye{"sulforhodamine 101", 576, [5]float64{.058, .013, .011, .013, .015}, 591, 33, 611.3, .90}
	brightener  = dye{"stilbene brightener", 300, [5]float64{.727, .338, .139, .050, 0}, 432, 63, 445, .8}
)

// absorption is relative to the maximum: straight lines in the logarithm through the
// published points up to the last, or the maximum, and from there half a Gaussian as wide as
// the emission is, of which it is the mirror image (a rule of photochemistry: Lakowicz,
// Principles of Fluorescence Spectroscopy, section 1.3, from memory).
func (d dye) absorption() Spectrum {
	const nothing = 1e-3
	points := []Point{{First, d.relative[0]}, {365, d.relative[0]}, {385, d.relative[1]}, {395, d.relative[2]}, {405, d.relative[3]}}
	if d.emits > 450 {
		points = append(points, Point{450, d.relative[4]})
	}
	if d.peak > First {
		points = append(points, Point{si.Wavelength(d.peak), 1})
	}
	slices.SortFunc(points, func(a, b Point) int { return cmp.Compare(a.At, b.At) })
	var xs, logs []float64
	for _, p := range points {
		xs, logs = append(xs, float64(p.At)), append(logs, math.Log(max(p.Value, nothing)))
	}
	last := len(xs) - 1
	half := d.wide / 2 * d.peak * d.peak / d.emits / d.emits
	middle := xs[last] - half*math.Sqrt(-logs[last]/math.Ln2)
	var s Spectrum
	for i := range s {
		x := float64(First + i)
		if x <= xs[last] {
			s[i] = math.Exp(interpolate(xs, logs, x))
		} else {
			s[i] = math.Exp(-math.Ln2 * (x - middle) * (x - middle) / half / half)
		}
	}
	return s
}

// emission is two half Gaussians that meet at the peak, with the published full
// width and, as far as that width allows, the published mean: dyes have their
// tail on the red side.
func (d dye) emission() Spectrum {
	// Mean - peak = √(2/π)(σr - σl), and half widths are σ√(2 ln 2).
	skew := (d.avg - d.emits) * math.Sqrt(math.Pi/2) * math.Sqrt(2*math.Ln2)
	skew = max(-.8*d.wide, min(.8*d.wide, skew))
	left, right := (d.wide-skew)/2, (d.wide+skew)/2
	var s Spectrum
	for i := range s {
		x := float64(First+i) - d.emits
		half := right
		if x < 0 {
			half = left
		}
		s[i] = math.Exp(-math.Ln2 * (x / half) * (x / half))
	}
	return *s.Normalise()
}

// colourant is the dye where it keeps a share of its yield.
func (d dye) colourant(kept float64) colourant {
	return colourant{absorption: d.absorption(), emission: d.emission(), yield: kept * d.yield}
}
