package plate

import (
	"context"
	"fmt"
	"image"
	"image/color"
	"math"
	"time"

	"lampblack/light"
	"lampblack/plate/drawing"
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
	// What is not on stage, by panel and by eye; nil where all is.
	Absent, Away []bool
	// Within is the part that is drawn.
	Within Window
}

// lengthOf is v metres.
func lengthOf(v float64) si.Length { return si.Length(v) }

// stays are the times that keep-out contours are drawn for.
var stays = []time.Duration{8 * time.Hour, 2 * time.Hour, time.Hour, 30 * time.Minute, 10 * time.Minute}

// eyeHeights are where eyes of people are who sit, stand and are children.
var eyeHeights = []float64{.9, 1.35, 1.8}

// planSide is the larger side of the room, in pixels.
const planSide = 640.0

func (p *Plan) floor() floor {
	const across = 560
	f := newFloor(p.Room, p.Transport, planSide, across)
	f.absent, f.away = p.Absent, p.Away
	f.narrow(p.Within, planSide, across)
	return f
}

// Draw computes the plate. The work is in the values: some thousands of points, each lit
// by every cell of every unit.
func (p *Plan) Draw(ctx context.Context) (*drawing.Drawing, error) {
	if len(p.Levels) != len(p.Transport.Light) {
		return nil, fmt.Errorf("draw plan: %d levels for %d drives", len(p.Levels), len(p.Transport.Light))
	}
	if !p.UVA && !(p.Height >= 0 && p.Height < p.Room.Size[2]) {
		return nil, fmt.Errorf("draw plan: a plane at %v lies outside the room, which is %v high", p.Height, p.Room.Size[2])
	}
	f := p.floor()
	g := p.values(ctx, &f)
	if err := ctx.Err(); err != nil {
		return nil, fmt.Errorf("draw plan: %w", err)
	}
	scale := around(g.values)
	// One scale for all plans of ultraviolet, so that two can be compared: from a hundredth of
	// a W/m², where a day's limit is not reached in a week, up to what there is.
	if p.UVA {
		scale = decades{.01, math.Max(scale.high, 1)}
	}
	d := drawing.New(f.left+f.width()+236, math.Max(f.top+f.height()+118, 560), p.Title)
	d.Heading(f.left-56, 30, p.Title)
	p.cells(d, &f, g, scale)
	under, standing := f.clip(), f.clip()
	f.ways(under, false)
	d.Add(under)
	names := labels{frame: [4]float64{f.left + 2, f.top + 2, f.left + f.width() - 2, f.top + f.height() - 2}}
	f.takeMarks(&names)
	p.takeUnits(&f, &names)
	// Names of units find their places first, and are drawn on top of the lines, which keep clear of them.
	over := &drawing.Group{}
	p.nameUnits(over, &f, &names)
	f.nameStanding(over, &names, false)
	p.isolines(d, &f, g, scale, &names)
	f.furniture(standing)
	d.Add(standing)
	f.people(&d.Group)
	p.units(d, &f)
	d.Add(over)
	f.axes(&d.Group)
	p.key(d, &f, scale)
	p.notes(d, &f)
	return d, nil
}

// spacing is the distance between the points of the grid, at most.
const spacing = .2 // m

// values reads the grid; its first row is at the back of the audience. Of several
// heights each point keeps the most. Lux is read 2 cm over its plane, so that at
// height 0 the floor itself is not in the way.
func (p *Plan) values(ctx context.Context, f *floor) *grid {
	// Enough points for a small room's isolines to be smooth, and few enough for a
	// large one's to be quick: each is a sum over all lamps.
	cols := min(max(int(math.Ceil((f.x1-f.x0)/spacing)), 8), 90) + 1
	rows := min(max(int(math.Ceil((f.y1-f.y0)/spacing)), 8), 90) + 1
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
				lengthOf(inset(f.x0, f.x1, i%cols, cols)), lengthOf(inset(f.y0, f.y1, i/cols, rows)), lengthOf(math.Min(h, float64(p.Room.Size[2])-.01)),
			}
		}
		probe.Of = room.DirectPart
		direct := p.Transport.Probe(ctx, probe, points)
		probe.Of = room.ReflectedPart
		rest := p.evenly(ctx, probe, points, cols, rows)
		for i, v := range direct {
			g.values[i] = math.Max(g.values[i], v+rest[i])
		}
	}
	return g
}

const (
	// every is how many steps of the grid apart reflected light is worked out that goes evenly,
	every = 3
	// alike how far four corners may be from one another, as a share of the most, for light to go evenly
	// between them: where a drape divides them they are far, and all points are worked out.
	alike = .25
)

// evenly is what a probe reads at all points of a grid, of light that has no sharp shadows.
func (p *Plan) evenly(ctx context.Context, probe room.Probe, points []room.Point, cols, rows int) []float64 {
	out := make([]float64, len(points))
	known := make([]bool, len(points))
	read := func(at []int) {
		asked := make([]room.Point, len(at))
		for k, i := range at {
			asked[k] = points[i]
		}
		for k, v := range p.Transport.Probe(ctx, probe, asked) {
			out[at[k]], known[at[k]] = v, true
		}
	}
	var wide, rest []int
	for r := range rows {
		for c := range cols {
			if (c%every == 0 || c == cols-1) && (r%every == 0 || r == rows-1) {
				wide = append(wide, r*cols+c)
			}
		}
	}
	read(wide)
	least := 0.
	for _, i := range wide {
		least = max(least, out[i]/300)
	}
	for i := range points {
		if !known[i] && !between(out, i, cols, rows, least) {
			rest = append(rest, i)
		}
	}
	read(rest)
	return out
}

// between fills in a point from the four corners about it, if these are alike: as a share of the most of
// them, or of least, below which nobody sees a difference.
func between(values []float64, at, cols, rows int, least float64) bool {
	c, r := at%cols, at/cols
	c0, r0 := c/every*every, r/every*every
	c1, r1 := min(c0+every, cols-1), min(r0+every, rows-1)
	a, b, d, e := values[r0*cols+c0], values[r0*cols+c1], values[r1*cols+c0], values[r1*cols+c1]
	if most := max(a, b, d, e); most-min(a, b, d, e) > alike*max(most, least) {
		return false
	}
	fx, fy := float64(c-c0)/float64(max(c1-c0, 1)), float64(r-r0)/float64(max(r1-r0, 1))
	values[at] = (a*(1-fx)+b*fx)*(1-fy) + (d*(1-fx)+e*fx)*fy
	return true
}

// inset is the i-th of n even steps from a to b, the ends a centimetre inside, off
// the walls.
func inset(a, b float64, i, n int) float64 {
	return a + .01 + (b-a-.02)*float64(i)/float64(n-1)
}

// cells paints the values as a picture, smooth between the points, at half the pixels
// of the page: the grid has far fewer.
func (p *Plan) cells(d *drawing.Drawing, f *floor, g *grid, scale decades) {
	w, h := int(math.Round(f.width()/2)), int(math.Round(f.height()/2))
	picture := image.NewRGBA(image.Rect(0, 0, w, h))
	for y := range h {
		for x := range w {
			gx := (float64(x) + .5) / float64(w) * float64(g.cols-1)
			gy := (1 - (float64(y)+.5)/float64(h)) * float64(g.rows-1)
			c := shade(scale.share(g.between(gx, gy)))
			picture.SetRGBA(x, y, color.RGBA{c.R, c.G, c.B, 255})
		}
	}
	d.Add(&drawing.Picture{Pixels: picture, Left: f.left, Top: f.top, Right: f.left + f.width(), Bottom: f.top + f.height()})
}

// between is the value at a point of the grid, bilinear.
func (g *grid) between(x, y float64) float64 {
	c, r := min(int(x), g.cols-2), min(int(y), g.rows-2)
	fx, fy := x-float64(c), y-float64(r)
	return (g.at(c, r)*(1-fx)+g.at(c+1, r)*fx)*(1-fy) + (g.at(c, r+1)*(1-fx)+g.at(c+1, r+1)*fx)*fy
}

// isolines draws lines of equal value with their numbers, as far as there is
// room for them: lux at 1 and 3 of each decade, ultraviolet where a stay of so long comes to
// a day's limit.
func (p *Plan) isolines(d *drawing.Drawing, f *floor, g *grid, scale decades, names *labels) {
	if p.UVA {
		for _, stay := range stays {
			p.isoline(d, f, g, float64(light.UVAToStay(stay)), stayText(stay), 1.6, names)
		}
		return
	}
	for _, v := range scale.steps(1, 3) {
		p.isoline(d, f, g, v, plain(v)+" lx", 1, names)
	}
}

// least is the shortest line, in pixels from end to end of its box, that gets a
// number.
const least = 40

// isoline draws all lines of one value, and its number once on each that is long enough.
func (p *Plan) isoline(d *drawing.Drawing, f *floor, g *grid, level float64, text string, width float64, names *labels) {
	frame := [4]float64{f.left + 2, f.top + 2, f.left + f.width() - 2, f.top + f.height() - 2}
	for _, line := range g.contour(level) {
		points := make([]drawing.Point, len(line))
		low, high := drawing.Point{math.Inf(1), math.Inf(1)}, drawing.Point{}
		for i, q := range line {
			points[i] = f.at(f.x0+q[0]/float64(g.cols-1)*(f.x1-f.x0), f.y0+q[1]/float64(g.rows-1)*(f.y1-f.y0))
			for k := range low {
				low[k], high[k] = math.Min(low[k], points[i][k]), math.Max(high[k], points[i][k])
			}
		}
		// White under ink is seen on dark and light ground alike.
		d.Lines(points, false, drawing.Style{Stroke: drawing.White, Width: width + 1.2})
		d.Lines(points, false, drawing.Style{Stroke: drawing.Ink, Width: width})
		if high[0]-low[0]+high[1]-low[1] < least {
			continue
		}
		if x, y, ok := names.along(points, text, frame); ok {
			d.Add(small(x, y+4, text))
		}
	}
}

// stayText is a stay in whole hours or minutes.
func stayText(d time.Duration) string {
	if d >= time.Hour {
		return fmt.Sprintf("%d h", d/time.Hour)
	}
	return fmt.Sprintf("%d min", d/time.Minute)
}
