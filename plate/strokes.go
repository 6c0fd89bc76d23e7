package plate

import (
	"image/color"

	"lampblack/plate/drawing"
)

// stroke is how one of several lines is told from the others.
type stroke struct {
	colour color.NRGBA
	dash   []float64
	marker int
}

// okabeIto are the dark-enough seven of Okabe and Ito's colours: their yellow is lost on
// white paper.
var okabeIto = [...]color.NRGBA{
	drawing.Hex(0x0072b2), drawing.Hex(0xd55e00), drawing.Hex(0x009e73), drawing.Hex(0xcc79a7), drawing.Hex(0xe69f00), drawing.Hex(0x56b4e9), drawing.Hex(0x000000),
}

// dashes are lengths on and off in turn, pixels; the first is a whole line.
var dashes = [...][]float64{nil, {7, 3}, {2, 3}, {9, 3, 2, 3}}

// strokeOf is the i-th line's: 7 colours, and a dash and marker that repeat out
// of step with them, so that the first 28 all differ in two ways.
func strokeOf(i int) stroke {
	return stroke{okabeIto[i%len(okabeIto)], dashes[i%len(dashes)], i % 4}
}

// style is the stroke as a line of a width.
func (s stroke) style(width float64) drawing.Style {
	return drawing.Style{Stroke: s.colour, Width: width, Dash: s.dash}
}

// mark draws the stroke's marker: disc, square, diamond or triangle.
func (s stroke) mark(g *drawing.Group, x, y float64) {
	const r = 4.5
	outline := drawing.Ring(x, y, r)
	switch s.marker {
	case 1:
		outline = []drawing.Point{{x - r + .5, y - r + .5}, {x + r - .5, y - r + .5}, {x + r - .5, y + r - .5}, {x - r + .5, y + r - .5}}
	case 2:
		outline = []drawing.Point{{x, y - r - 1}, {x + r + 1, y}, {x, y + r + 1}, {x - r - 1, y}}
	case 3:
		outline = []drawing.Point{{x, y - r - 1}, {x + r + .5, y + r - .5}, {x - r - .5, y + r - .5}}
	}
	g.Lines(outline, true, drawing.Style{Fill: s.colour})
}

// key draws the stroke with its marker, from x on.
func (s stroke) key(g *drawing.Group, x, y float64) {
	g.Lines([]drawing.Point{{x, y - 4}, {x + 30, y - 4}}, false, s.style(2))
	s.mark(g, x+15, y-4)
}
