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

// ToneMap says how luminance becomes a screen colour. Up to Knee of the
// screen's white it is linear. Above, luminance y (1 = White) goes to
// 1 - (1-k)²/(y+1-2k), which leaves the knee with slope 1 and reaches white
// at infinity. A colour outside the screen's triangle, or too bright in one
// primary, moves straight toward the grey of its own luminance until it fits:
// hue and luminance stay, saturation gives way.
type ToneMap struct {
	White float64 // the luminance, in the unit of XYZ.Y, shown as white; above 0
	Knee  float64 // 0 to 1; 1 cuts off hard
}

// SRGB returns the screen colour of c. A colour that is not finite is black.
func (m ToneMap) SRGB(c XYZ) RGB {
	if !c.finite() || c.Y <= 0 || !(m.White > 0) {
		return RGB{}
	}
	y := c.Y / m.White
	mapped := m.compress(y)
	r, g, b := c.Times(mapped / c.Y).LinearSRGB()
	keep := min(1, inside(r, mapped), inside(g, mapped), inside(b, mapped))
	code := func(v float64) uint8 { return encodeSRGB(mapped + (v-mapped)*keep) }
	return RGB{code(r), code(g), code(b)}
}

// compress bends a luminance as ToneMap says. A knee of 1 leaves no room above for a bend.
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

// inside is the share of the way from grey to v at which v is within 0 to 1.
func inside(v, grey float64) float64 {
	switch {
	case v < 0:
		return grey / (grey - v)
	case v > 1:
		return (1 - grey) / (v - grey)
	}
	return 1
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
