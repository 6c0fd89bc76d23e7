package plate

import (
	"fmt"
	"image/color"
	"math"

	"lampblack/light"
	"lampblack/plate/drawing"
	"lampblack/rig"
)

// Dots is a chromaticity diagram small enough to stand beside a look: the
// outline of all colours in CIE 1976 u'v', daylight as a cross, and a dot for
// each light.
type Dots []Dot

// Dot is a light of a look.
type Dot struct {
	Name   string
	Colour light.UV
	Shown  light.RGB // as a screen shows it
	Share  float64   // how much of it there is, 0 to 1
}

// dotsScale is in pixels to one of u' or v'.
const dotsScale = 159.0

// Draw draws the diagram on no ground.
func (s Dots) Draw() *drawing.Drawing {
	a := axes{left: 0, top: 0, width: .68 * dotsScale, height: .64 * dotsScale, x0: -.02, x1: .66, y0: -.02, y1: .62}
	d := drawing.New(math.Ceil(a.width), math.Ceil(a.height), "CIE 1976 diagram: "+s.says())
	d.Ground = none
	d.Lines(pixels(&a, locus(420, 5)), true, drawing.Style{Fill: drawing.White, Stroke: grey, Width: .7})
	white := light.WhiteD65.UV()
	x, y := a.x(white.U), a.y(white.V)
	d.Line(x-1.6, y, x+1.6, y, soft, .7)
	d.Line(x, y-1.6, x, y+1.6, soft, .7)
	for _, dot := range s {
		own := &drawing.Group{Class: "dot", Title: dot.Name}
		own.Lines(drawing.Ring(a.x(dot.Colour.U), a.y(dot.Colour.V), 1.9+3.5*dot.Share), true,
			drawing.Style{Fill: color.NRGBA{dot.Shown.R, dot.Shown.G, dot.Shown.B, 255}, Stroke: drawing.Ink, Width: .7})
		d.Add(own)
	}
	return d
}

// says is the diagram in words, for who cannot see it.
func (s Dots) says() string {
	text := ""
	for i, dot := range s {
		if i > 0 {
			text += "; "
		}
		text += fmt.Sprintf("%s u′ %.3f v′ %.3f", dot.Name, dot.Colour.U, dot.Colour.V)
	}
	if text == "" {
		return "dark"
	}
	return text
}

// Size of a spectrum in a line of a table, pixels.
const (
	smallWidth  = 132.0
	smallHeight = 26.0
)

// SmallSpectrum draws the shape of an emitter's spectrum in its own colour, on no
// ground, with marks at 400, 500, 600 and 700 nm.
func SmallSpectrum(name string, l *rig.Light) *drawing.Drawing {
	shown := violet
	if !l.BlackLight() {
		shown = tint(l.Colour.UV(), 1)
	}
	top := 0.0
	for _, v := range l.Spectrum {
		if v > top && !math.IsInf(v, 1) {
			top = v
		}
	}
	a := axes{left: 0, top: 1, width: smallWidth, height: smallHeight - 3, x0: light.First, x1: light.Last, y0: 0, y1: math.Max(top, math.SmallestNonzeroFloat64)}
	d := drawing.New(smallWidth, smallHeight, fmt.Sprintf("spectrum of %s, %d nm to %d nm", name, light.First, light.Last))
	d.Ground = none
	// The axis lies half a pixel lower than nought, where its line is sharp.
	base := a.y(0) + .5
	d.Line(0, base, smallWidth, base, grey, .6)
	for _, nm := range []float64{400, 500, 600, 700} {
		d.Line(a.x(nm), base, a.x(nm), smallHeight, grey, .8)
	}
	if top == 0 {
		return d
	}
	points := []drawing.Point{a.at(light.First, 0)}
	const every, least = 5, .002 // nm; of the top, a twentieth of a pixel
	seen := func(i int) bool { return i >= 0 && i < light.N && l.Spectrum[i] > least*top }
	for i := 0; i < light.N; i += every {
		if seen(i-every) || seen(i) || seen(i+every) { // the rest lies on the axis
			points = append(points, a.at(float64(light.First+i), math.Max(0, l.Spectrum[i])))
		}
	}
	points = append(points, a.at(light.Last, 0))
	d.Lines(points, true, drawing.Style{Fill: shown, Stroke: soft, Width: .5})
	return d
}
