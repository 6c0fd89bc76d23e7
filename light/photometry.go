package light

import (
	"lampblack/si"
)

// WeberContrast is (target - background)/background; +Inf on black.
func WeberContrast(target, background si.Luminance) float64 {
	return float64((target - background) / background)
}

// GlowCriterion is how many times its background a glowing object should show
// by default. It is this tool's design choice, not a published limit.
const GlowCriterion = 10.0

// Appearance is a luminance for both kinds of sight: cd/m² and scotopic cd/m².
type Appearance struct{ Photopic, Scotopic si.Luminance }

// Contrast is the Weber contrast of target on background for an eye that is
// adapted to the background, with mesopic luminances by CIE 191:2010.
func Contrast(target, background Appearance) float64 {
	seen, m := Mesopic(background.Photopic, background.Scotopic)
	return WeberContrast(SeenAt(target.Photopic, target.Scotopic, m), seen)
}
