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
	s, err := p.Draw(ctx)
	if err != nil {
		return nil, err
	}
	return s.SVG()
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

// Draw computes the plate once, for either form.
func (p *Plan) Draw(ctx context.Context) (*Sketch, error) {
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
	s := &Sketch{width: l.left + l.width() + 236, height: math.Max(l.top+l.height()+118, 560), title: p.Title}
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
func (p *Plan) cells(s *Sketch, l *layout, g *grid, scale decades) {
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
func (p *Plan) isolines(s *Sketch, l *layout, g *grid, scale decades) {
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

func (p *Plan) isoline(s *Sketch, l *layout, g *grid, level float64, text string, width float64, names *spots) {
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
