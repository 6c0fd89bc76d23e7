package plate

import (
	"fmt"
	"image/color"
	"math"

	"lampblack/light"
	"lampblack/plate/drawing"
	"lampblack/si"
)

// units draws each unit with a line toward its aim, edged in white so that it shows on any
// shade; those that are on are filled.
func (p *Plan) units(d *drawing.Drawing, f *floor) {
	for u := range p.Rig.Units {
		unit := &p.Rig.Units[u]
		at, aim := f.hung(unit)
		dx, dy := aim[0]-at[0], aim[1]-at[1]
		if n := math.Hypot(dx, dy); n > 1 { // otherwise it aims straight down
			to := math.Min(n, 26)
			d.Line(at[0], at[1], at[0]+dx/n*to, at[1]+dy/n*to, drawing.White, 4)
			d.Line(at[0], at[1], at[0]+dx/n*to, at[1]+dy/n*to, vermilion, 2)
		}
		fill := drawing.White
		from, to := p.Rig.UnitDrives(u)
		for k := from; k < to; k++ {
			if p.Levels[k] > 0 {
				fill = vermilion
			}
		}
		d.Lines([]drawing.Point{{at[0] - 5, at[1] - 5}, {at[0] + 5, at[1] - 5}, {at[0] + 5, at[1] + 5}, {at[0] - 5, at[1] + 5}}, true,
			drawing.Style{Fill: fill, Stroke: drawing.Ink, Width: 1.2})
	}
}

// takeUnits claims the places of the units' marks.
func (p *Plan) takeUnits(f *floor, l *labels) {
	for u := range p.Rig.Units {
		at, _ := f.hung(&p.Rig.Units[u])
		l.take([4]float64{at[0] - 6, at[1] - 6, at[0] + 6, at[1] + 6})
	}
}

func (p *Plan) nameUnits(g *drawing.Group, f *floor, l *labels) {
	for u := range p.Rig.Units {
		at, _ := f.hung(&p.Rig.Units[u])
		l.name(g, [4]float64{at[0] - 6, at[1] - 6, at[0] + 6, at[1] + 6}, small(0, 0, short(p.Rig.Units[u].Name.Name)))
	}
}

// small is a name beside a mark, to be read on anything.
func small(x, y float64, words string) *drawing.Text {
	return &drawing.Text{At: drawing.Point{x, y}, Words: words, Size: 11, Anchor: drawing.Centre, Fill: drawing.Ink, Halo: true}
}

// key draws the scale of colours and what the marks mean. The scale goes by ratio, as the eye
// does: its ticks are whole powers of ten, equally far apart.
func (p *Plan) key(d *drawing.Drawing, f *floor, scale decades) {
	x, top, height := f.left+f.width()+34, f.top+34, 220.0
	name := "illuminance, lx"
	if p.UVA {
		name = "UV-A irradiance, W/m²"
	}
	d.Label(x, f.top+14, drawing.Left, drawing.Ink, name)
	const n = 110 // boxes of 2 pixels, each a little over the next, so that no seam shows
	for i := range n {
		d.Box(x, top+height*float64(n-1-i)/n, 22, height/n+.6, shade((float64(i)+.5)/n), none)
	}
	d.Box(x, top, 22, height, none, drawing.Ink)
	// A logarithm of 1000 may come out as 2.9999…; the ends must not be missed for that.
	for e := math.Ceil(math.Log10(scale.low) - 1e-9); e <= math.Log10(scale.high)+1e-9; e++ {
		v := math.Pow(10, e)
		y := top + height*(1-scale.share(v))
		d.Line(x+22, y, x+28, y, drawing.Ink, 1)
		d.Label(x+33, y+4.5, drawing.Left, drawing.Ink, plain(v))
	}
	marks := key{&d.Group, x, top + height + 30}
	square := func(fill color.NRGBA) func(g *drawing.Group, x, y float64) {
		return func(g *drawing.Group, x, y float64) { g.Box(x-5, y-5, 10, 10, fill, drawing.Ink) }
	}
	marks.mark("unit, on", square(vermilion))
	marks.mark("unit, off", square(drawing.White))
	marks.standing(f.edge, shade(.2))
	if p.UVA {
		marks.mark("longest stay in a day", func(g *drawing.Group, x, y float64) {
			g.Lines(drawing.Ring(x, y, 7), true, drawing.Style{Stroke: drawing.Ink, Width: 1.6})
		})
	}
}

// notes says under the plan what it is of, by what rule, and what it does not promise.
func (p *Plan) notes(d *drawing.Drawing, f *floor) {
	y := f.top + f.height() + 66
	lines := []string{
		fmt.Sprintf("Horizontal illuminance %v above the floor, light reflected and glow included; best estimates.", p.Height),
		"Computed for matt surfaces; this is not a measurement and not a statement about escape lighting.",
	}
	if p.UVA {
		lines = []string{
			fmt.Sprintf("UV-A (%d nm to %d nm) at the worst of 0.9, 1.35 and 1.8 m, eyes turned to the lamps, outputs at their upper end.", light.UVAFirst, light.UVALast),
			fmt.Sprintf("Contours: how long until %s at the unprotected eye, a whole day's limit (%s).", si.Say(light.DailyUVA, "J/m²"), light.DailyUVASource),
			"The limit does not cover everybody; look into no lens, and keep children well below it.",
		}
	}
	if p.Within != (Window{}) {
		lines = append(lines, fmt.Sprintf("What the lamps light is drawn; the room is %v wide and %v deep.", p.Room.Size[0], p.Room.Size[1]))
	}
	for _, text := range lines {
		d.Add(&drawing.Text{At: drawing.Point{f.left - 56, y}, Words: text, Size: 12, Anchor: drawing.Left, Fill: drawing.Ink})
		y += 18
	}
}
