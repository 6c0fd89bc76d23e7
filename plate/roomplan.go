package plate

import (
	"context"
	"fmt"
	"image"
	"math"
	"time"

	"lampblack/rig"
	"lampblack/room"
	"lampblack/si"
)

// Plan is the room from above with a quantity laid over it in colour and
// isolines.
type Plan struct {
	Title     string
	Transport *room.Transport
	Room      *room.Room
	Rig       *rig.Rig
	Levels    []float32
	// Height is that of the plane over the floor. Lux is horizontal
	// illuminance on it.
	Height si.Length
	// UVA asks for UV-A instead: the most at any of three heights from 0.9 m
	// to 1.8 m, however an eye there turns, every emitter at the upper end of
	// its interval; with contours of how long one may stay.
	UVA bool
}

func lengthOf(v float64) si.Length { return si.Length(v) }

// dailyDose is the limit on UV-A (315 nm to 400 nm) at the unprotected eye in
// a day of 8 h: 10 kJ/m2, ICNIRP 2004 and Directive 2006/25/EC, annex I.
const dailyDose = 1e4 // J/m2

// stays are the times that keep-out contours are drawn for.
var stays = []time.Duration{8 * time.Hour, 2 * time.Hour, time.Hour, 30 * time.Minute, 10 * time.Minute}

// eyeHeights are where eyes of people are who sit, stand and are children.
var eyeHeights = []float64{.9, 1.35, 1.8}

// SVG draws the plate.
func (p *Plan) SVG(ctx context.Context) ([]byte, error) {
	s, err := p.sketch(ctx)
	if err != nil {
		return nil, err
	}
	return s.SVG()
}

// Image draws the plate as pixels, scale of them to one of the SVG.
func (p *Plan) Image(ctx context.Context, scale float64) (*image.RGBA, error) {
	s, err := p.sketch(ctx)
	if err != nil {
		return nil, err
	}
	return s.Image(scale)
}

// layout is how metres become pixels: x to the right, the stage at the top.
type layout struct {
	x0, y0, x1, y1 float64 // metres
	left, top      float64 // pixels
	scale          float64 // pixels per metre
}

const (
	planLeft = 84.0
	planTop  = 56.0
	planSide = 640.0 // the larger side of the room, pixels
)

func (p *Plan) layout() layout {
	w, d := float64(p.Room.Size[0]), float64(p.Room.Size[1])
	front := float64(p.Room.Front)
	return layout{-w / 2, -front, w / 2, d - front, planLeft, planTop, math.Min(planSide/math.Max(w, d), 560/w)}
}

func (l *layout) at(x, y float64) [2]float64 {
	return [2]float64{l.left + (x-l.x0)*l.scale, l.top + (l.y1-y)*l.scale}
}

func (l *layout) width() float64  { return (l.x1 - l.x0) * l.scale }
func (l *layout) height() float64 { return (l.y1 - l.y0) * l.scale }

func (p *Plan) sketch(ctx context.Context) (*sketch, error) {
	if len(p.Levels) != len(p.Transport.Light) {
		return nil, fmt.Errorf("draw plan: %d levels for %d drives", len(p.Levels), len(p.Transport.Light))
	}
	if !p.UVA && !(p.Height >= 0 && p.Height < p.Room.Size[2]) {
		return nil, fmt.Errorf("draw plan: a plane at %v lies outside the room, which is %v high", p.Height, p.Room.Size[2])
	}
	l := p.layout()
	g := p.values(ctx, &l)
	if err := ctx.Err(); err != nil {
		return nil, fmt.Errorf("draw plan: %w", err)
	}
	scale := around(g.values)
	if p.UVA {
		scale = decades{.01, math.Max(scale.high, 1)}
	}
	s := &sketch{width: l.left + l.width() + 236, height: math.Max(l.top+l.height()+118, 560), title: p.Title}
	s.heading(l.left-56, 30, p.Title)
	p.cells(s, &l, g, scale)
	p.isolines(s, &l, g, scale)
	p.furniture(s, &l)
	p.axes(s, &l)
	p.key(s, &l, scale)
	p.notes(s, &l)
	return s, nil
}

// spacing is the distance between the points of the grid, at most.
const spacing = .2 // m

// values reads the grid; its first row is at the back of the audience.
func (p *Plan) values(ctx context.Context, l *layout) *grid {
	cols := min(max(int(math.Ceil((l.x1-l.x0)/spacing)), 8), 90) + 1
	rows := min(max(int(math.Ceil((l.y1-l.y0)/spacing)), 8), 90) + 1
	g := &grid{cols, rows, make([]float64, cols*rows)}
	heights := []float64{float64(p.Height) + .02}
	probe := room.Probe{Sense: room.Photopic, Levels: p.Levels, Normal: &room.Point{0, 0, 1}}
	if p.UVA {
		heights = eyeHeights
		probe = room.Probe{Sense: room.UVA, Levels: p.Levels, Upper: true}
	}
	for _, h := range heights {
		points := make([]room.Point, len(g.values))
		for i := range points {
			points[i] = room.Point{
				lengthOf(inset(l.x0, l.x1, i%cols, cols)), lengthOf(inset(l.y0, l.y1, i/cols, rows)), lengthOf(math.Min(h, float64(p.Room.Size[2])-.01)),
			}
		}
		for i, v := range p.Transport.Probe(ctx, probe, points) {
			g.values[i] = math.Max(g.values[i], v)
		}
	}
	return g
}

// inset is the i-th of n even steps from a to b, the ends a hand's breadth
// inside, off the walls.
func inset(a, b float64, i, n int) float64 {
	return a + .01 + (b-a-.02)*float64(i)/float64(n-1)
}

// cells paints the values as a picture, smooth between the points.
func (p *Plan) cells(s *sketch, l *layout, g *grid, scale decades) {
	w, h := int(math.Round(l.width()/2)), int(math.Round(l.height()/2))
	picture := image.NewRGBA(image.Rect(0, 0, w, h))
	for y := range h {
		for x := range w {
			gx := (float64(x) + .5) / float64(w) * float64(g.cols-1)
			gy := (1 - (float64(y)+.5)/float64(h)) * float64(g.rows-1)
			picture.Set(x, y, paintOf(shade(scale.share(g.between(gx, gy))), 0).C)
		}
	}
	s.add(shape{picture: picture, points: [][2]float64{{l.left, l.top}}, right: l.left + l.width(), bottom: l.top + l.height()})
}

// between is the value at a point of the grid, bilinear.
func (g *grid) between(x, y float64) float64 {
	c, r := min(int(x), g.cols-2), min(int(y), g.rows-2)
	fx, fy := x-float64(c), y-float64(r)
	return (g.at(c, r)*(1-fx)+g.at(c+1, r)*fx)*(1-fy) + (g.at(c, r+1)*(1-fx)+g.at(c+1, r+1)*fx)*fy
}

// isolines draws lines of equal value with their numbers, as far as there is
// room for them.
func (p *Plan) isolines(s *sketch, l *layout, g *grid, scale decades) {
	var names spots
	for u := range p.Rig.Units {
		at := l.at(float64(p.Rig.Units[u].At[0]), float64(p.Rig.Units[u].At[1]))
		names.taken = append(names.taken, area(at[0], at[1]-10, short(p.Rig.Units[u].Name.Name)))
	}
	if p.UVA {
		for _, stay := range stays {
			p.isoline(s, l, g, dailyDose/stay.Seconds(), stayText(stay), 1.6, &names)
		}
		return
	}
	for _, v := range scale.steps(1, 3) {
		p.isoline(s, l, g, v, plain(v)+" lx", 1, &names)
	}
}

// least is the shortest line, in pixels from end to end of its box, that gets a
// number.
const least = 40

func (p *Plan) isoline(s *sketch, l *layout, g *grid, level float64, text string, width float64, names *spots) {
	frame := [4]float64{l.left + 2, l.top + 2, l.left + l.width() - 2, l.top + l.height() - 2}
	for _, line := range g.contour(level) {
		points := make([][2]float64, len(line))
		low, high := [2]float64{math.Inf(1), math.Inf(1)}, [2]float64{}
		for i, q := range line {
			points[i] = l.at(l.x0+q[0]/float64(g.cols-1)*(l.x1-l.x0), l.y0+q[1]/float64(g.rows-1)*(l.y1-l.y0))
			for k := range low {
				low[k], high[k] = math.Min(low[k], points[i][k]), math.Max(high[k], points[i][k])
			}
		}
		s.add(shape{points: points, stroke: "#ffffff", width: width + 1.2})
		s.add(shape{points: points, stroke: ink, width: width})
		if high[0]-low[0]+high[1]-low[1] < least {
			continue
		}
		if x, y, ok := names.along(points, text, frame); ok {
			s.add(shape{points: [][2]float64{{x, y + 4}}, text: text, size: 11, anchor: centre, fill: ink, halo: true})
		}
	}
}

func stayText(d time.Duration) string {
	if d >= time.Hour {
		return fmt.Sprintf("%d h", d/time.Hour)
	}
	return fmt.Sprintf("%d min", d/time.Minute)
}

// furniture draws what stands in the room, the units, and the people.
func (p *Plan) furniture(s *sketch, l *layout) {
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

func (p *Plan) people(s *sketch, l *layout) {
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
func (p *Plan) units(s *sketch, l *layout) {
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

func (p *Plan) axes(s *sketch, l *layout) {
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
func (p *Plan) key(s *sketch, l *layout, scale decades) {
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

func (p *Plan) notes(s *sketch, l *layout) {
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
