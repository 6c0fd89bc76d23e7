package plate

import (
	"fmt"
	"image/color"
	"math"

	"lampblack/light"
	"lampblack/plate/drawing"
)

// Gamuts is a chromaticity diagram in CIE 1976 u'v', where equal lengths look
// about equally different: what fixture types reach, what all of them reach,
// and what a look asks for.
type Gamuts struct {
	Title   string
	Types   []TypeGamut
	Common  light.Gamut // reached by all; empty: not drawn
	Targets []Target
}

// TypeGamut is what one fixture type reaches.
type TypeGamut struct {
	Name  string
	Gamut light.Gamut
}

// Target is a chromaticity that a look asks for, and what it gets.
type Target struct {
	Name            string
	Wanted, Reached light.UV
	Miss            float64 // CIEDE2000
}

// shadow is laid over what all types reach.
var shadow = drawing.Thin(drawing.Hex(0), .13)

// Draw draws the plate. It fails on a chromaticity that is not a finite number. The axes
// hold all colours with a margin; a unit of u' and one of v' are equally long, since the
// diagram is made for distances to be seen.
func (g *Gamuts) Draw() (*drawing.Drawing, error) {
	if err := g.check(); err != nil {
		return nil, err
	}
	a := axes{left: 78, top: 46, width: 536, height: 520, x0: -.035, x1: .635, y0: -.03, y1: .62}
	key := 24*float64(len(g.Types)) + 46*float64(len(g.Targets)) + 70
	d := drawing.New(960, max(630, a.top+key+20), g.Title)
	d.Heading(a.left, 28, g.Title)
	edge := locus(390, 2)
	plane(d, &a, edge)
	a.frame(d, .1, .1, "u' (CIE 1976)", "v' (CIE 1976)")
	marks(d, &a, edge)
	planckian(d, &a)
	if len(g.Common) > 0 {
		d.Lines(pixels(&a, g.Common), true, drawing.Style{Fill: shadow})
	}
	// What follows stands on both sides at once: its line on the diagram, its words in the key.
	y := a.top + 12
	for i, t := range g.Types {
		look := strokeOf(i)
		d.Lines(pixels(&a, t.Gamut), true, look.style(2))
		for _, c := range t.Gamut {
			look.mark(&d.Group, a.x(c.U), a.y(c.V))
		}
		look.key(&d.Group, 640, y)
		d.Label(680, y, drawing.Left, drawing.Ink, short(t.Name))
		y += 24
	}
	if len(g.Common) > 0 {
		d.Box(640, y-10, 30, 12, shadow, none)
		d.Label(680, y, drawing.Left, drawing.Ink, "reached by all")
		y += 24
	}
	for i, t := range g.Targets {
		y = t.draw(d, &a, y, i)
	}
	return d, nil
}

// check keeps numbers out that have no place on the page: a NaN compares as false here. 10
// is far outside all colours, whose u' and v' stay below 0.63.
func (g *Gamuts) check() error {
	ok := func(c light.UV) bool { return math.Abs(c.U) < 10 && math.Abs(c.V) < 10 }
	for _, t := range g.Types {
		for _, c := range t.Gamut {
			if !ok(c) {
				return fmt.Errorf("gamut of %s: u' %v v' %v is no chromaticity", t.Name, c.U, c.V)
			}
		}
	}
	for _, t := range g.Targets {
		if !ok(t.Wanted) || !ok(t.Reached) {
			return fmt.Errorf("target %s: u' %v v' %v, reached %v %v: no chromaticity", t.Name, t.Wanted.U, t.Wanted.V, t.Reached.U, t.Reached.V)
		}
	}
	return nil
}

// draw draws a ring where the look wants to be, a cross where it gets to, and
// both as they look on a screen. Letters tie them to the key.
func (t *Target) draw(d *drawing.Drawing, a *axes, y float64, i int) float64 {
	letter := string(rune('A' + i%26))
	black := drawing.Hex(0)
	wx, wy, rx, ry := a.x(t.Wanted.U), a.y(t.Wanted.V), a.x(t.Reached.U), a.y(t.Reached.V)
	d.Line(wx, wy, rx, ry, black, 1.2)
	d.Lines(drawing.Ring(wx, wy, 6), true, drawing.Style{Stroke: black, Width: 1.6})
	d.Line(rx-4, ry-4, rx+4, ry+4, black, 1.6)
	d.Line(rx-4, ry+4, rx+4, ry-4, black, 1.6)
	d.Label(wx+9, wy-7, drawing.Left, black, letter)
	d.Box(640, y-6, 26, 18, tint(t.Wanted, 1), grey)
	d.Box(666, y-6, 26, 18, tint(t.Reached, 1), grey)
	d.Label(702, y, drawing.Left, drawing.Ink, short(letter+"  "+t.Name))
	verdict := "asked, got: the same"
	switch {
	case t.Miss > 10:
		verdict = fmt.Sprintf("asked, got: CIEDE2000 %.0f, not near", t.Miss)
	case t.Miss >= .05:
		verdict = fmt.Sprintf("asked, got: CIEDE2000 %.1f", t.Miss)
	}
	d.Label(702, y+16, drawing.Left, soft, verdict)
	return y + 46
}

// pixels puts an outline of chromaticities on the page.
func pixels(a *axes, g light.Gamut) []drawing.Point {
	var points []drawing.Point
	for _, c := range g {
		points = append(points, a.at(c.U, c.V))
	}
	return points
}

// plane tints the area of all colours with what a screen can show of them: as cells, in
// pale, under the lines. Most of the area is outside what a screen shows, and is a hint only.
func plane(d *drawing.Drawing, a *axes, edge []light.UV) {
	const cell = .0125
	colours := &drawing.Group{Class: "colours", Clip: pixels(a, edge)}
	d.Add(colours)
	side := a.x(cell) - a.x(0) + .5 // over the next, so that no seam shows
	// 52 by 49 cells hold all colours: u' to 0.625, v' to 0.6. The clip cuts what
	// stands over the edge.
	for i := range 52 {
		for k := range 49 {
			u, v := float64(i)*cell-.0125, float64(k)*cell
			c := light.UV{U: u + cell/2, V: v + cell/2}
			if near(edge, c, cell) {
				colours.Box(a.x(u), a.y(v+cell), side, side, tint(c, .45), none)
			}
		}
	}
}

// near reports whether c is inside the outline or within reach of it.
func near(edge []light.UV, c light.UV, reach float64) bool {
	inside := false // even-odd: a ray to the left crosses the outline so often
	for i, p := range edge {
		q := edge[(i+1)%len(edge)]
		if (p.V > c.V) != (q.V > c.V) && c.U < p.U+(c.V-p.V)/(q.V-p.V)*(q.U-p.U) {
			inside = !inside
		}
		if fromSegment(p, q, c) < reach {
			return true
		}
	}
	return inside
}

// fromSegment is the distance of c from the line between p and q.
func fromSegment(p, q, c light.UV) float64 {
	du, dv := q.U-p.U, q.V-p.V
	// The foot of the perpendicular, held between the ends.
	share := ((c.U-p.U)*du + (c.V-p.V)*dv) / (du*du + dv*dv)
	share = min(1, max(0, share))
	return c.Distance(light.UV{U: p.U + share*du, V: p.V + share*dv})
}

// locus is the outline of all colours, CIE 018:2019, from first to 700 nm in
// steps of so many nm.
func locus(first, step int) []light.UV {
	var edge []light.UV
	for nm := first; nm <= 700; nm += step {
		edge = append(edge, spectral(nm))
	}
	return edge
}

// spectral is the chromaticity of one wavelength.
func spectral(nm int) light.UV {
	c, err := light.ParseColour(fmt.Sprintf("%d nm", nm))
	if err != nil {
		panic("plate: " + err.Error())
	}
	return c.XY.UV()
}

// marks draws the outline of all colours with wavelengths along it. The straight line that
// closes it is that of the purples, which are no wavelength's.
func marks(d *drawing.Drawing, a *axes, edge []light.UV) {
	d.Lines(pixels(a, edge), true, drawing.Style{Stroke: drawing.Ink, Width: 1.2})
	for _, nm := range []int{430, 460, 470, 480, 490, 500, 520, 540, 560, 580, 600, 620, 640} {
		c := spectral(nm)
		x, y := a.x(c.U), a.y(c.V)
		// Away from white, the labels stand outside.
		white := light.WhiteD65.UV()
		du, dv := c.U-white.U, c.V-white.V
		size := math.Hypot(du, dv)
		du, dv = du/size, -dv/size
		d.Line(x, y, x+5*du, y+5*dv, drawing.Ink, 1)
		at := drawing.Left
		if du < 0 {
			at = drawing.Right
		}
		d.Label(x+8*du, y+8*dv+4, at, soft, fmt.Sprint(nm))
	}
}

// planckian draws the whites of hot bodies, 1600 to 20000 K, in even steps of mired
// (10^6/K), in which equal steps look about equally different.
func planckian(d *drawing.Drawing, a *axes) {
	var points []drawing.Point
	for mired := 50.0; mired <= 625; mired += 12.5 {
		points = append(points, hot(a, 1e6/mired))
	}
	d.Lines(points, false, drawing.Style{Stroke: soft, Width: 1})
	for _, kelvin := range []float64{2000, 3000, 4000, 6500} {
		p := hot(a, kelvin)
		d.Line(p[0], p[1]-3, p[0], p[1]+3, soft, 1)
		d.Add(&drawing.Text{At: drawing.Point{p[0] + 5, p[1] + 13}, Words: fmt.Sprintf("%.0f K", kelvin), Size: 10, Anchor: drawing.Left, Fill: soft})
	}
}

// hot is the place of a black body's white.
func hot(a *axes, kelvin float64) drawing.Point {
	c, err := light.Planckian(kelvin)
	if err != nil {
		panic("plate: " + err.Error())
	}
	uv := c.UV()
	return a.at(uv.U, uv.V)
}

// tint is a chromaticity as a screen shows it at its brightest, mixed with
// white paper: strength 1 is the colour itself.
func tint(c light.UV, strength float64) color.NRGBA {
	xyz := c.XY().XYZ(1)
	r, g, b := xyz.LinearSRGB()
	// Outside the screen's triangle, toward white until no primary is negative.
	least := min(r, g, b)
	if least < 0 {
		r, g, b = r-least, g-least, b-least
	}
	top := max(r, g, b)
	mixed := light.RGBLinear(1-strength+strength*r/top, 1-strength+strength*g/top, 1-strength+strength*b/top)
	return color.NRGBA{mixed.R, mixed.G, mixed.B, 255}
}
