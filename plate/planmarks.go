package plate

import (
	"fmt"
	"math"

	"lampblack/room"
)

// furniture draws what stands in the room, the units, and the people.
func (p *Plan) furniture(s *Sketch, l *layout) {
	for i := range p.Room.Boxes {
		b := &p.Room.Boxes[i].Value
		x, y, w, d := float64(b.Centre[0]), float64(b.Centre[1]), float64(b.Size[0])/2, float64(b.Size[1])/2
		s.add(shape{points: [][2]float64{l.at(x-w, y-d), l.at(x+w, y-d), l.at(x+w, y+d), l.at(x-w, y+d)}, closed: true, fill: "#ffffff", opacity: .25, stroke: ink, width: 1})
	}
	for i := range p.Transport.Panels {
		panel := &p.Transport.Panels[i]
		upright := math.Abs(float64(panel.Normal[2])) < .5
		if panel.Back || !upright || panel.Kind != room.KindSurface && panel.Kind != room.KindObject {
			continue
		}
		a := l.at(float64(panel.Corner[0]), float64(panel.Corner[1]))
		b := l.at(float64(panel.Corner[0])+float64(panel.U[0])*panel.Width, float64(panel.Corner[1])+float64(panel.U[1])*panel.Width)
		stroke := ink
		if panel.Kind == room.KindObject {
			stroke = "#cc79a7"
		}
		s.line(a[0], a[1], b[0], b[1], "#ffffff", 5)
		s.line(a[0], a[1], b[0], b[1], stroke, 2.6)
	}
	a, b := l.at(l.x0, 0), l.at(l.x1, 0)
	s.add(shape{points: [][2]float64{a, b}, stroke: "#ffffff", width: 1.2, dash: []float64{6, 4}})
	p.people(s, l)
	p.units(s, l)
}

func (p *Plan) people(s *Sketch, l *layout) {
	for i := range p.Room.Seats {
		at := l.at(float64(p.Room.Seats[i].At[0]), float64(p.Room.Seats[i].At[1]))
		s.add(shape{points: ring(at[0], at[1], 5), closed: true, fill: "#ffffff", stroke: ink, width: 1.4})
	}
	for i := range p.Room.People {
		at := l.at(float64(p.Room.People[i].At[0]), float64(p.Room.People[i].At[1]))
		x, y := at[0], at[1]
		s.add(shape{points: [][2]float64{{x, y - 7}, {x + 6.5, y + 5}, {x - 6.5, y + 5}}, closed: true, fill: "#ffffff", stroke: ink, width: 1.4})
	}
}

// units draws each unit with a line toward its aim; those that are on are
// filled.
func (p *Plan) units(s *Sketch, l *layout) {
	for u := range p.Rig.Units {
		unit := &p.Rig.Units[u]
		at := l.at(float64(unit.At[0]), float64(unit.At[1]))
		aim := l.at(float64(unit.Aim[0]), float64(unit.Aim[1]))
		dx, dy := aim[0]-at[0], aim[1]-at[1]
		if n := math.Hypot(dx, dy); n > 1 {
			to := math.Min(n, 26)
			s.line(at[0], at[1], at[0]+dx/n*to, at[1]+dy/n*to, "#ffffff", 4)
			s.line(at[0], at[1], at[0]+dx/n*to, at[1]+dy/n*to, "#d55e00", 2)
		}
		fill := "#ffffff"
		from, to := p.Rig.UnitDrives(u)
		for d := from; d < to; d++ {
			if p.Levels[d] > 0 {
				fill = "#d55e00"
			}
		}
		s.add(shape{points: [][2]float64{{at[0] - 5, at[1] - 5}, {at[0] + 5, at[1] - 5}, {at[0] + 5, at[1] + 5}, {at[0] - 5, at[1] + 5}}, closed: true, fill: fill, stroke: ink, width: 1.2})
		s.add(shape{points: [][2]float64{{at[0], at[1] - 9}}, text: short(unit.Name.Name), size: 11, anchor: centre, fill: ink, halo: true})
	}
}

func (p *Plan) axes(s *Sketch, l *layout) {
	s.box(l.left, l.top, l.width(), l.height(), "", ink)
	every := step(math.Max(l.x1-l.x0, l.y1-l.y0), 10)
	for i := math.Ceil(l.x0/every - 1e-9); i*every <= l.x1+1e-9; i++ {
		at := l.at(i*every, l.y0)
		s.line(at[0], at[1], at[0], at[1]+5, ink, 1)
		s.label(at[0], at[1]+19, centre, ink, tick(i*every, every))
	}
	for i := math.Ceil(l.y0/every - 1e-9); i*every <= l.y1+1e-9; i++ {
		at := l.at(l.x0, i*every)
		s.line(at[0]-5, at[1], at[0], at[1], ink, 1)
		s.label(at[0]-9, at[1]+4.5, right, ink, tick(i*every, every))
	}
	s.label(l.left+l.width()/2, l.top+l.height()+38, centre, ink, "x to the right as the audience sees it, m")
	s.add(shape{points: [][2]float64{{l.left - 48, l.top + l.height()/2}}, text: "y away from the audience, m", size: 13, anchor: centre, fill: ink, turned: true})
}

// key draws the scale of colours and what the marks mean.
func (p *Plan) key(s *Sketch, l *layout, scale decades) {
	x, top, height := l.left+l.width()+34, l.top+34, 220.0
	name := "illuminance, lx"
	if p.UVA {
		name = "UV-A irradiance, W/m²"
	}
	s.label(x, l.top+14, left, ink, name)
	const n = 110
	for i := range n {
		s.box(x, top+height*float64(n-1-i)/n, 22, height/n+.6, shade((float64(i)+.5)/n), "")
	}
	s.box(x, top, 22, height, "", ink)
	for e := math.Ceil(math.Log10(scale.low) - 1e-9); e <= math.Log10(scale.high)+1e-9; e++ {
		v := math.Pow(10, e)
		y := top + height*(1-scale.share(v))
		s.line(x+22, y, x+28, y, ink, 1)
		s.label(x+33, y+4.5, left, ink, plain(v))
	}
	y := top + height + 30
	mark := func(text string, draw func(x, y float64)) {
		draw(x+11, y-4)
		s.label(x+33, y, left, ink, text)
		y += 24
	}
	square := func(fill string) func(x, y float64) {
		return func(x, y float64) { s.box(x-5, y-5, 10, 10, fill, ink) }
	}
	mark("unit, on", square("#d55e00"))
	mark("unit, off", square("#ffffff"))
	mark("seat", func(x, y float64) {
		s.add(shape{points: ring(x, y, 5), closed: true, fill: "#ffffff", stroke: ink, width: 1.4})
	})
	mark("performer", func(x, y float64) {
		s.add(shape{points: [][2]float64{{x, y - 7}, {x + 6.5, y + 5}, {x - 6.5, y + 5}}, closed: true, fill: "#ffffff", stroke: ink, width: 1.4})
	})
	mark("drape or other surface", func(x, y float64) { s.line(x-11, y, x+11, y, ink, 2.6) })
	mark("painted object", func(x, y float64) { s.line(x-11, y, x+11, y, "#cc79a7", 2.6) })
	mark("edge of the stage", func(x, y float64) {
		s.box(x-13, y-6, 26, 12, shade(.2), "")
		s.add(shape{points: [][2]float64{{x - 11, y}, {x + 11, y}}, stroke: "#ffffff", width: 1.2, dash: []float64{6, 4}})
	})
	if p.UVA {
		mark("longest stay in a day", func(x, y float64) { s.add(shape{points: ring(x, y, 7), closed: true, stroke: ink, width: 1.6}) })
	}
}

func (p *Plan) notes(s *Sketch, l *layout) {
	y := l.top + l.height() + 66
	lines := []string{
		fmt.Sprintf("Horizontal illuminance %v above the floor, light reflected and glow included; best estimates.", p.Height),
		"Computed for matt surfaces; this is not a measurement and not a statement about escape lighting.",
	}
	if p.UVA {
		lines = []string{
			"UV-A (315 nm to 400 nm) at the worst of 0.9, 1.35 and 1.8 m, eyes turned to the lamps, outputs at their upper end.",
			"Contours: how long until 10 kJ/m² at the unprotected eye, a whole day's limit (ICNIRP 2004; Directive 2006/25/EC).",
			"The limit does not cover everybody; look into no lens, and keep children well below it.",
		}
	}
	for _, text := range lines {
		s.add(shape{points: [][2]float64{{l.left - 56, y}}, text: text, size: 12, anchor: left, fill: ink})
		y += 18
	}
}
