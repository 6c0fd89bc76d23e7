package light

import "math"

// Lab is a CIELAB colour (CIE 015:2018): lightness 0 to 100 for surfaces,
// more for what is brighter than the white.
type Lab struct{ L, A, B float64 }

// Lab returns the CIELAB colour of c under the given white.
func (c XYZ) Lab(white XYZ) Lab {
	fx, fy, fz := labCurve(c.X/white.X), labCurve(c.Y/white.Y), labCurve(c.Z/white.Z)
	return Lab{116*fy - 16, 500 * (fx - fy), 200 * (fy - fz)}
}

// XYZ inverts XYZ.Lab.
func (c Lab) XYZ(white XYZ) XYZ {
	fy := (c.L + 16) / 116
	return XYZ{white.X * labInverse(fy+c.A/500), white.Y * labInverse(fy), white.Z * labInverse(fy-c.B/200)}
}

// Chroma is C*ab.
func (c Lab) Chroma() float64 { return math.Hypot(c.A, c.B) }

// Lightness is L* of a luminance relative to white: 116 f(y) - 16.
func Lightness(relative float64) float64 { return 116*labCurve(relative) - 16 }

// FromLightness inverts Lightness.
func FromLightness(l float64) float64 { return labInverse((l + 16) / 116) }

func labCurve(t float64) float64 {
	if t > 216./24389 {
		return math.Cbrt(t)
	}
	return (24389./27*t + 16) / 116
}

func labInverse(f float64) float64 {
	if f > 6./29 {
		return f * f * f
	}
	return (116*f - 16) * 27 / 24389
}
