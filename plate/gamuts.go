package plate

import (
	"fmt"
	"math"

	"lampblack/light"
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

// SVG draws the plate. It fails on a chromaticity that is not a finite number.
func (g *Gamuts) SVG() ([]byte, error) {
	if err := g.check(); err != nil {
		return nil, err
	}
	a := axes{left: 78, top: 46, width: 536, height: 520, x0: -.035, x1: .635, y0: -.03, y1: .62}
	key := 24*float64(len(g.Types)) + 46*float64(len(g.Targets)) + 70
	d := begin(960, max(630, a.top+key+20), g.Title)
	d.heading(a.left, 28, g.Title)
	edge := locus()
	g.plane(d, &a, edge)
	a.frame(d, .1, .1, "u' (CIE 1976)", "v' (CIE 1976)")
	marks(d, &a, edge)
	planckian(d, &a)
	if len(g.Common) > 0 {
		d.path(pixels(&a, g.Common), true, `fill="#000000" fill-opacity="0.13" stroke="none"`)
	}
	y := a.top + 12
	for i, t := range g.Types {
		look := strokeOf(i)
		d.path(pixels(&a, t.Gamut), true, look.style(2))
		for _, c := range t.Gamut {
			d.mark(a.x(c.U), a.y(c.V), look)
		}
		y = g.keyLine(d, y, look, t.Name)
	}
	if len(g.Common) > 0 {
		d.add(`<rect x="640" y="%s" width="30" height="12" fill="#000000" fill-opacity="0.13"/>`, num(y-10))
		d.text(680, y, left, ink, "reached by all")
		y += 24
	}
	for i, t := range g.Targets {
		y = g.target(d, &a, y, i, t)
	}
	return d.end(), nil
}

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

func (g *Gamuts) keyLine(d *drawing, y float64, look stroke, name string) float64 {
	d.path([][2]float64{{640, y - 4}, {670, y - 4}}, false, look.style(2))
	d.mark(655, y-4, look)
	d.text(680, y, left, ink, short(name))
	return y + 24
}

// target draws a ring where the look wants to be, a cross where it gets to, and
// both as they look on a screen. Letters tie them to the key.
func (g *Gamuts) target(d *drawing, a *axes, y float64, i int, t Target) float64 {
	letter := string(rune('A' + i%26))
	wx, wy, rx, ry := a.x(t.Wanted.U), a.y(t.Wanted.V), a.x(t.Reached.U), a.y(t.Reached.V)
	d.line(wx, wy, rx, ry, "#000000", 1.2)
	d.add(`<circle cx="%s" cy="%s" r="6" fill="none" stroke="#000000" stroke-width="1.6"/>`, num(wx), num(wy))
	d.line(rx-4, ry-4, rx+4, ry+4, "#000000", 1.6)
	d.line(rx-4, ry+4, rx+4, ry-4, "#000000", 1.6)
	d.text(wx+9, wy-7, left, "#000000", letter)
	swatch := func(x float64, c light.UV) {
		d.add(`<rect x="%s" y="%s" width="26" height="18" fill="%s" stroke="#666666"/>`, num(x), num(y-6), tint(c, 1))
	}
	swatch(640, t.Wanted)
	swatch(666, t.Reached)
	d.text(702, y, left, ink, short(letter+"  "+t.Name))
	verdict := "asked, got: the same"
	switch {
	case t.Miss > 10:
		verdict = fmt.Sprintf("asked, got: CIEDE2000 %.0f, not near", t.Miss)
	case t.Miss >= .05:
		verdict = fmt.Sprintf("asked, got: CIEDE2000 %.1f", t.Miss)
	}
	d.text(702, y+16, left, "#555555", verdict)
	return y + 46
}

func pixels(a *axes, g light.Gamut) [][2]float64 {
	var points [][2]float64
	for _, c := range g {
		points = append(points, a.at(c.U, c.V))
	}
	return points
}

// plane tints the area of all colours with what a screen can show of them.
func (g *Gamuts) plane(d *drawing, a *axes, edge []light.UV) {
	const cell = .0125
	d.add(`<clipPath id="colours"><path d="%s"/></clipPath>`, outline(pixels(a, edge), true))
	d.add(`<g clip-path="url(#colours)" shape-rendering="crispEdges">`)
	side := a.x(cell) - a.x(0) + .5
	for i := range 52 {
		for k := range 49 {
			u, v := float64(i)*cell-.0125, float64(k)*cell
			c := light.UV{U: u + cell/2, V: v + cell/2}
			if !near(edge, c, cell) {
				continue
			}
			d.add(`<rect x="%s" y="%s" width="%s" height="%s" fill="%s"/>`, num(a.x(u)), num(a.y(v+cell)), num(side), num(side), tint(c, .45))
		}
	}
	d.add("</g>")
}

// near reports whether c is inside the outline or within reach of it.
func near(edge []light.UV, c light.UV, reach float64) bool {
	inside := false
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

func fromSegment(p, q, c light.UV) float64 {
	du, dv := q.U-p.U, q.V-p.V
	share := ((c.U-p.U)*du + (c.V-p.V)*dv) / (du*du + dv*dv)
	share = min(1, max(0, share))
	return c.Distance(light.UV{U: p.U + share*du, V: p.V + share*dv})
}

// locus is the outline of all colours, CIE 018:2019, from 390 to 700 nm.
func locus() []light.UV {
	var edge []light.UV
	for nm := 390; nm <= 700; nm += 2 {
		edge = append(edge, spectral(nm))
	}
	return edge
}

func spectral(nm int) light.UV {
	c, err := light.ParseColour(fmt.Sprintf("%d nm", nm))
	if err != nil {
		panic("plate: " + err.Error())
	}
	return c.XY.UV()
}

func marks(d *drawing, a *axes, edge []light.UV) {
	d.path(pixels(a, edge), true, fmt.Sprintf(`fill="none" stroke="%s" stroke-width="1.2"`, ink))
	for _, nm := range []int{430, 460, 470, 480, 490, 500, 520, 540, 560, 580, 600, 620, 640} {
		c := spectral(nm)
		x, y := a.x(c.U), a.y(c.V)
		// Away from white, the labels stand outside.
		white := light.WhiteD65.UV()
		du, dv := c.U-white.U, c.V-white.V
		size := math.Hypot(du, dv)
		du, dv = du/size, -dv/size
		d.line(x, y, x+5*du, y+5*dv, ink, 1)
		at := left
		if du < 0 {
			at = right
		}
		d.text(x+8*du, y+8*dv+4, at, "#555555", fmt.Sprint(nm))
	}
}

// planckian draws the whites of hot bodies, 1600 to 20000 K.
func planckian(d *drawing, a *axes) {
	var points [][2]float64
	for mired := 50.0; mired <= 625; mired += 12.5 {
		points = append(points, hot(a, 1e6/mired))
	}
	d.path(points, false, `fill="none" stroke="#555555" stroke-width="1"`)
	for _, kelvin := range []float64{2000, 3000, 4000, 6500} {
		p := hot(a, kelvin)
		d.line(p[0], p[1]-3, p[0], p[1]+3, "#555555", 1)
		d.add(`<text x="%s" y="%s" fill="#555555" font-size="10">%.0f K</text>`, num(p[0]+5), num(p[1]+13), kelvin)
	}
}

func hot(a *axes, kelvin float64) [2]float64 {
	c, err := light.Planckian(kelvin)
	if err != nil {
		panic("plate: " + err.Error())
	}
	uv := c.UV()
	return a.at(uv.U, uv.V)
}

// tint is a chromaticity as a screen shows it at its brightest, mixed with
// white paper: strength 1 is the colour itself.
func tint(c light.UV, strength float64) string {
	xyz := c.XY().XYZ(1)
	r, g, b := xyz.LinearSRGB()
	// Outside the screen's triangle, toward white until no primary is negative.
	least := min(r, g, b)
	if least < 0 {
		r, g, b = r-least, g-least, b-least
	}
	top := max(r, g, b)
	mixed := light.RGBLinear(1-strength+strength*r/top, 1-strength+strength*g/top, 1-strength+strength*b/top)
	return mixed.String()
}
