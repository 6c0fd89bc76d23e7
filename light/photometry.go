package light

import (
	"math"

	"lampblack/si"
)

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

// WeberContrast is (target - background)/background; +Inf on black.
func WeberContrast(target, background si.Luminance) float64 {
	return float64((target - background) / background)
}

// GlowCriterion is how many times its background a glowing object should show
// by default. It is this tool's design choice, not a published limit.
const GlowCriterion = 10.0

// Appearance is a luminance for both kinds of sight: cd/m² and scotopic cd/m².
type Appearance struct{ Photopic, Scotopic si.Luminance }

// AppearanceOf returns the Appearance of a matt surface that sends out s (W/m²/nm):
// efficacy times exitance over π.
func AppearanceOf(s *Spectrum) Appearance {
	return Appearance{si.Luminance(s.LuminousFlux()) / math.Pi, si.Luminance(s.Scotopic()) / math.Pi}
}

// Contrast is the Weber contrast of target on background for an eye that is
// adapted to the background, with mesopic luminances by CIE 191:2010.
func Contrast(target, background Appearance) float64 {
	seen, m := Mesopic(background.Photopic, background.Scotopic)
	return WeberContrast(SeenAt(target.Photopic, target.Scotopic, m), seen)
}
