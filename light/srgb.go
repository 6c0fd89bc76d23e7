package light

import (
	"fmt"
	"math"
)

// RGB is a screen colour in sRGB (IEC 61966-2-1), gamma-coded.
type RGB struct{ R, G, B uint8 }

// String returns "#rrggbb".
func (c RGB) String() string { return fmt.Sprintf("#%02x%02x%02x", c.R, c.G, c.B) }

// Linear decodes c to linear light, 0 to 1.
func (c RGB) Linear() (r, g, b float64) {
	return decodeSRGB(float64(c.R) / 255), decodeSRGB(float64(c.G) / 255), decodeSRGB(float64(c.B) / 255)
}

// XYZ returns the colour of c with white at Y = 1.
func (c RGB) XYZ() XYZ {
	r, g, b := c.Linear()
	return XYZ{
		.4124564*r + .3575761*g + .1804375*b,
		.2126729*r + .7151522*g + .0721750*b,
		.0193339*r + .1191920*g + .9503041*b,
	}
}

// LinearSRGB returns the linear screen drives of c, with Y = 1 at white;
// beyond 0 to 1 where the screen cannot follow.
func (c XYZ) LinearSRGB() (r, g, b float64) {
	return 3.2404542*c.X - 1.5371385*c.Y - .4985314*c.Z,
		-.9692660*c.X + 1.8760108*c.Y + .0415560*c.Z,
		.0556434*c.X - .2040259*c.Y + 1.0572252*c.Z
}

// ToneMap says how light becomes a screen colour. It goes by the strongest of the screen's three
// drives, in which a neutral of luminance White drives all three to the full. Up to Knee it is
// linear. Above, the strongest drive v goes to 1 - (1-k)²/(v+1-2k), which leaves the knee with
// slope 1 and reaches full at infinity, and the other two keep their share of it: no drive is cut
// off, so that a lone strong colour stays one and does not bleach. A colour outside the screen's triangle
// moves straight toward the grey of its own luminance until it is inside.
type ToneMap struct {
	White float64 // the luminance, in the unit of XYZ.Y, shown as white; above 0
	Knee  float64 // 0 to 1; 1 cuts off hard
}

// SRGB returns the screen colour of c. A colour that is not finite is black.
func (m ToneMap) SRGB(c XYZ) RGB {
	r, g, b := m.Drives(c)
	return RGBLinear(r, g, b)
}

// Drives is SRGB before it is coded: linear, 0 to 1.
func (m ToneMap) Drives(c XYZ) (r, g, b float64) {
	if !c.finite() || c.Y <= 0 || !(m.White > 0) {
		return 0, 0, 0
	}
	r, g, b = c.Shown()
	most := max(r, g, b)
	k := m.compress(most/m.White) / most
	return r * k, g * k, b * k
}

// Shown is LinearSRGB of the nearest colour toward grey of the same luminance that a screen can show.
func (c XYZ) Shown() (r, g, b float64) {
	r, g, b = c.LinearSRGB()
	keep := 1.
	for _, v := range [...]float64{r, g, b} {
		if v < 0 {
			keep = min(keep, c.Y/(c.Y-v))
		}
	}
	if keep < 1 {
		r, g, b = c.Y+(r-c.Y)*keep, c.Y+(g-c.Y)*keep, c.Y+(b-c.Y)*keep
	}
	return max(r, 0), max(g, 0), max(b, 0)
}

// Photographed is the colour of c in a phone's picture whose white is a luminance: what is too
// bright in one primary keeps its luminance and moves toward grey (of the ways that phones have, one).
func (c XYZ) Photographed(white float64) RGB {
	if !c.finite() || c.Y <= 0 || !(white > 0) {
		return RGB{}
	}
	r, g, b := c.Times(1 / white).Shown()
	y := min(1, c.Y/white)
	keep := 1.
	if most := max(r, g, b); most > 1 {
		keep = (1 - y) / (most - y)
	}
	return RGBLinear(y+(r-y)*keep, y+(g-y)*keep, y+(b-y)*keep)
}

// Vivid is the colour of c as bright as a screen can show it; black where there is no light.
func (c XYZ) Vivid() RGB {
	if !c.finite() || c.Y <= 0 {
		return RGB{}
	}
	r, g, b := c.Shown()
	most := max(r, g, b)
	return RGBLinear(r/most, g/most, b/most)
}

// compress bends a drive as ToneMap says. A knee of 1 leaves no room above for a bend.
func (m ToneMap) compress(y float64) float64 {
	k := min(1, max(0, m.Knee))
	switch {
	case y <= k:
		return y
	case k == 1:
		return 1
	}
	return 1 - (1-k)*(1-k)/(y+1-2*k)
}

func decodeSRGB(v float64) float64 {
	if v <= .04045 {
		return v / 12.92
	}
	return math.Pow((v+.055)/1.055, 2.4)
}

// encodeSRGB is the transfer function of IEC 61966-2-1, straight near black, and eight bits.
func encodeSRGB(v float64) uint8 {
	v = min(1, max(0, v))
	if v <= .0031308 {
		v *= 12.92
	} else {
		v = 1.055*math.Pow(v, 1/2.4) - .055
	}
	return uint8(math.Round(v * 255))
}

// RGBLinear codes linear light, 0 to 1 (clamped).
func RGBLinear(r, g, b float64) RGB { return RGB{encodeSRGB(r), encodeSRGB(g), encodeSRGB(b)} }
