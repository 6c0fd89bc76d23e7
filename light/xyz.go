package light

import "math"

// XYZ is a CIE 1931 tristimulus value; Y is in lm, lx or cd/m².
type XYZ struct{ X, Y, Z float64 }

// XY is a CIE 1931 chromaticity.
type XY struct{ X, Y float64 }

// UV is a CIE 1976 chromaticity u', v'.
type UV struct{ U, V float64 }

// White points of CIE 015:2018.
var (
	WhiteD65 = XY{.3127, .3290}
	WhiteA   = XY{.44758, .40745}
	WhiteE   = XY{1. / 3, 1. / 3}
)

// Plus returns c + d·factor.
func (c XYZ) Plus(d XYZ, factor float64) XYZ {
	return XYZ{c.X + d.X*factor, c.Y + d.Y*factor, c.Z + d.Z*factor}
}

// Times returns c·factor.
func (c XYZ) Times(factor float64) XYZ { return XYZ{c.X * factor, c.Y * factor, c.Z * factor} }

// XY returns the chromaticity; black has that of D65.
func (c XYZ) XY() XY {
	sum := c.X + c.Y + c.Z
	if sum <= 0 {
		return WhiteD65
	}
	return XY{c.X / sum, c.Y / sum}
}

// UV returns u' = 4X/(X+15Y+3Z), v' = 9Y/(X+15Y+3Z); black has that of D65.
func (c XYZ) UV() UV {
	sum := c.X + 15*c.Y + 3*c.Z
	if sum <= 0 {
		return WhiteD65.UV()
	}
	return UV{4 * c.X / sum, 9 * c.Y / sum}
}

func (c XYZ) finite() bool { return finite(c.X) && finite(c.Y) && finite(c.Z) }

// XYZ returns the colour of chromaticity c with luminance y. A chromaticity
// with c.Y = 0 has no luminance and gives infinities: check Valid first.
func (c XY) XYZ(y float64) XYZ { return XYZ{c.X / c.Y * y, y, max(0, 1-c.X-c.Y) / c.Y * y} }

// Valid reports whether c is a chromaticity that a light can have: finite,
// y above zero, and x + y at most 1 but for rounding.
func (c XY) Valid() bool { return c.X >= 0 && c.Y > 0 && c.X+c.Y <= 1+1e-12 }

// UV returns the same chromaticity as u', v'.
func (c XY) UV() UV {
	d := -2*c.X + 12*c.Y + 3
	return UV{4 * c.X / d, 9 * c.Y / d}
}

// XY returns the same chromaticity as x, y.
func (c UV) XY() XY {
	d := 6*c.U - 16*c.V + 12
	return XY{9 * c.U / d, 4 * c.V / d}
}

// Distance is the length between two chromaticities in u'v'.
func (c UV) Distance(d UV) float64 { return math.Hypot(c.U-d.U, c.V-d.V) }
