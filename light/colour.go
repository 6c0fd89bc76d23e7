package light

import (
	"fmt"
	"strconv"
	"strings"

	"lampblack/si"
)

// Colour is what a look asks for: a chromaticity, and a luminance relative to
// white (0 to 1) that only "#rrggbb" sets; the others mean full.
type Colour struct {
	XY    XY
	Level float64
}

// ParseColour reads "#123a7c" or "#17c" (sRGB, IEC 61966-2-1), "x 0.31 y 0.33"
// (CIE 1931), "u 0.20 v 0.47" (CIE 1976 u'v'), "4000 K" (on the Planckian
// locus) or "455 nm" (spectral). Black has the chromaticity of D65 at level 0.
func ParseColour(text string) (Colour, error) {
	text = strings.TrimSpace(text)
	c := Colour{Level: 1}
	var err error
	switch fields := strings.Fields(text); {
	case strings.HasPrefix(text, "#"):
		c, err = parseHex(text)
	case len(fields) == 4 && fields[0] == "x" && fields[2] == "y":
		c.XY.X, c.XY.Y, err = parsePair(fields[1], fields[3])
	case len(fields) == 4 && fields[0] == "u" && fields[2] == "v":
		var uv UV
		uv.U, uv.V, err = parsePair(fields[1], fields[3])
		c.XY = uv.XY()
	case strings.HasSuffix(text, "nm"):
		c.XY, err = parseSpectral(text)
	case strings.HasSuffix(text, "K"):
		var t si.Temperature
		if err = t.UnmarshalText([]byte(text)); err == nil {
			c.XY, err = Planckian(float64(t))
		}
	case named[text] != "":
		c, err = parseHex(named[text])
	default:
		err = fmt.Errorf("write #rrggbb, a plain name as red or orange, x 0.31 y 0.33, u 0.20 v 0.47, 4000 K or 455 nm")
	}
	if err == nil && !c.XY.Valid() {
		err = fmt.Errorf("x %.4g y %.4g is no colour of light", c.XY.X, c.XY.Y)
	}
	if err != nil {
		return Colour{}, fmt.Errorf("colour %q: %w", text, err)
	}
	return c, nil
}

// named has the colours that may be called by a name: those of the CSS Color Module
// Level 4 (6.1) that a lamp can be asked for. A level goes beside them, so that of two
// names of one colour, bright and dark, one is enough.
var named = map[string]string{
	"red": "#ff0000", "orange": "#ffa500", "gold": "#ffd700", "yellow": "#ffff00", "lime": "#00ff00", "green": "#008000",
	"turquoise": "#40e0d0", "cyan": "#00ffff", "blue": "#0000ff", "indigo": "#4b0082", "violet": "#ee82ee", "purple": "#800080",
	"magenta": "#ff00ff", "pink": "#ffc0cb", "coral": "#ff7f50", "salmon": "#fa8072", "lavender": "#e6e6fa", "white": "#ffffff",
}

// ParseRGB reads "#123a7c" or "#17c": six digits, or three that stand for each of them twice.
func ParseRGB(text string) (RGB, error) {
	digits, ok := strings.CutPrefix(text, "#")
	if len(digits) == 3 {
		digits = string([]byte{digits[0], digits[0], digits[1], digits[1], digits[2], digits[2]})
	}
	v, err := strconv.ParseUint(digits, 16, 32)
	if err != nil || !ok || len(digits) != 6 {
		return RGB{}, fmt.Errorf("want six hexadecimal digits after #")
	}
	return RGB{uint8(v >> 16), uint8(v >> 8), uint8(v)}, nil
}

func parseHex(text string) (Colour, error) {
	rgb, err := ParseRGB(text)
	if err != nil {
		return Colour{}, err
	}
	c := rgb.XYZ()
	return Colour{XY: c.XY(), Level: c.Y}, nil
}

// parsePair reads two numbers; whether they are a colour is for the caller.
func parsePair(a, b string) (x, y float64, err error) {
	if x, err = strconv.ParseFloat(a, 64); err != nil {
		return 0, 0, fmt.Errorf("%q is no number", a)
	}
	if y, err = strconv.ParseFloat(b, 64); err != nil {
		return 0, 0, fmt.Errorf("%q is no number", b)
	}
	return x, y, nil
}

// parseSpectral takes 380 to 700 nm, where the CIE tables give a chromaticity
// that still means something.
func parseSpectral(text string) (XY, error) {
	var w si.Wavelength
	if err := w.UnmarshalText([]byte(text)); err != nil {
		return XY{}, err
	}
	if !(w >= 380 && w <= 700) {
		return XY{}, fmt.Errorf("want 380 to 700 nm")
	}
	return XYZ{barX.At(w), barY.At(w), barZ.At(w)}.XY(), nil
}
