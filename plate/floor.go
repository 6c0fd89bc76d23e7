package plate

import (
	"image/color"
	"math"

	"lampblack/plate/drawing"
	"lampblack/rig"
	"lampblack/room"
)

// floor is the room from above, x to the right and the stage at the top: the
// ground that every plan is drawn on.
type floor struct {
	room           *room.Room
	panels         []room.Panel // none before the room is solved
	eyes           []room.Point // of seats and performers; none before that
	absent, away   []bool       // by panel and by eye: what is not there
	x0, y0, x1, y1 float64      // metres
	window         Window       // the part that is drawn, if it is not all
	left, top      float64      // pixels
	scale          float64      // pixels per metre
	edge           color.NRGBA  // of the stage, against what lies under it
	paper          bool         // nothing is told by colour alone
	beam           color.NRGBA  // the tint of a beam on paper
	// thing begins a mark for something that stands in the room: on g itself, or
	// on a group of its own that says what it is.
	thing func(g *drawing.Group, class, name string) *drawing.Group
}

const (
	planLeft = 84.0
	planTop  = 56.0
)

// newFloor makes the larger side of the room side pixels long, and its width
// across at most.
func newFloor(r *room.Room, t *room.Transport, side, across float64) floor {
	w, d := float64(r.Size[0]), float64(r.Size[1])
	front := float64(r.Front)
	f := floor{
		room: r, x0: -w / 2, y0: -front, x1: w / 2, y1: d - front, left: planLeft, top: planTop,
		scale: math.Min(side/math.Max(w, d), across/w), edge: drawing.White,
		thing: func(g *drawing.Group, _, _ string) *drawing.Group { return g },
	}
	if t != nil {
		f.panels = t.Panels
		for _, place := range t.Eyes {
			f.eyes = append(f.eyes, t.Places[place].At)
		}
	}
	return f
}

// at is the pixel of a place on the floor, in metres.
func (f *floor) at(x, y float64) drawing.Point {
	return drawing.Point{f.left + (x-f.x0)*f.scale, f.top + (f.y1-y)*f.scale}
}

func (f *floor) width() float64  { return (f.x1 - f.x0) * f.scale }
func (f *floor) height() float64 { return (f.y1 - f.y0) * f.scale }

// hung is where a unit hangs, and where it aims.
func (f *floor) hung(u *rig.Unit) (at, aim drawing.Point) {
	return f.at(float64(u.At[0]), float64(u.At[1])), f.at(float64(u.Aim[0]), float64(u.Aim[1]))
}

// furniture draws what stands in the room, and the edge of the stage.
func (f *floor) furniture(g *drawing.Group) {
	for i := range f.room.Boxes {
		b := &f.room.Boxes[i].Value
		x, y, w, d := float64(b.Centre[0]), float64(b.Centre[1]), float64(b.Size[0])/2, float64(b.Size[1])/2
		f.thing(g, "box", f.room.Boxes[i].Name).Lines([]drawing.Point{f.at(x-w, y-d), f.at(x+w, y-d), f.at(x+w, y+d), f.at(x-w, y+d)}, true, solid)
	}
	for i := range f.room.Pillars {
		p := &f.room.Pillars[i].Value
		at := f.at(float64(p.Foot[0]), float64(p.Foot[1]))
		f.thing(g, "pillar", f.room.Pillars[i].Name).Lines(drawing.Ring(at[0], at[1], max(float64(p.Across)/2*f.scale, 2)), true, solid)
	}
	for _, t := range f.things() {
		if t.level {
			continue
		}
		stroke := drawing.Ink
		if t.kind == room.KindObject {
			stroke = purple
		}
		own := f.thing(g, string(t.kind), t.name)
		own.Line(t.a[0], t.a[1], t.b[0], t.b[1], drawing.White, 5)
		if f.paper && t.kind == room.KindObject {
			own.Lines([]drawing.Point{t.a, t.b}, false, objectOnPaper)
			continue
		}
		own.Line(t.a[0], t.a[1], t.b[0], t.b[1], stroke, 2.6)
	}
	a, b := f.at(f.x0, 0), f.at(f.x1, 0)
	f.thing(g, "edge", "edge of the stage").Lines([]drawing.Point{a, b}, false, edgeStyle(f.edge))
}

// solid is how boxes and pillars are drawn.
var solid = drawing.Style{Fill: drawing.Thin(drawing.White, .25), Stroke: drawing.Ink, Width: 1}

// onFloor is a surface or an object as a plan shows it: a line where it stands, an outline where it
// lies. The panels that it is cut into do not show.
type onFloor struct {
	name  string
	kind  room.Kind
	level bool
	a, b  drawing.Point // of what stands
	edge  []drawing.Point
}

// things lists the surfaces and objects that are there.
func (f *floor) things() []onFloor {
	var out []onFloor
	seen := map[string]bool{}
	for i := range f.panels {
		p := &f.panels[i]
		if !stands(p) || seen[p.Name] || f.absent != nil && f.absent[i] {
			continue
		}
		seen[p.Name] = true
		low, high := [2]float64{}, [2]float64{p.Width, p.Height}
		for k := range f.panels[i:] {
			q := &f.panels[i+k]
			if q.Name == p.Name && !q.Back {
				x, y := local(p, q.Corner)
				low, high = [2]float64{min(low[0], x), min(low[1], y)}, [2]float64{max(high[0], x+q.Width), max(high[1], y+q.Height)}
			}
		}
		at := func(x, y float64) drawing.Point {
			q := onPanel(p, x/p.Width, y/p.Height)
			return f.at(float64(q[0]), float64(q[1]))
		}
		one := onFloor{name: p.Name, kind: p.Kind, a: at(low[0], low[1]), b: at(high[0], low[1])}
		if one.level = math.Abs(float64(p.Normal[2])) > .7; one.level {
			one.edge = f.lying(p.Name)
			if one.edge == nil {
				one.edge = []drawing.Point{one.a, one.b, at(high[0], high[1]), at(low[0], high[1])}
			}
		}
		out = append(out, one)
	}
	return out
}

// lying is the outline of a surface that lies flat, as the room's text has it; nil where it is a
// rectangle.
func (f *floor) lying(name string) []drawing.Point {
	s := f.room.Surfaces.Get(name)
	if s == nil || s.Shape == "" && s.Outline == nil {
		return nil
	}
	if s.Shape == room.ShapeDisc {
		at := f.at(float64(s.Centre[0]), float64(s.Centre[1]))
		out := drawing.Ring(0, 0, 1)
		for i := range out {
			out[i] = drawing.Point{at[0] + out[i][0]*float64(s.Width)/2*f.scale, at[1] + out[i][1]*float64(s.Height)/2*f.scale}
		}
		return out
	}
	var out []drawing.Point
	for _, p := range s.Outline {
		x, y := float64(p[0]-s.Width/2), float64(p[1]-s.Height/2)
		if s.Faces[2] < 0 { // who looks up at it has its top toward the audience
			y = -y
		}
		out = append(out, f.at(float64(s.Centre[0])+x, float64(s.Centre[1])+y))
	}
	return out
}

// ways draws where people walk in the dark, and on white paper how wide the way is.
func (f *floor) ways(g *drawing.Group, wide bool) {
	for i := range f.room.Paths {
		p := &f.room.Paths[i].Value
		var line []drawing.Point
		for _, q := range p.Points {
			line = append(line, f.at(float64(q[0]), float64(q[1])))
		}
		own := f.thing(g, "way", f.room.Paths[i].Name)
		if wide {
			own.Lines(line, false, drawing.Style{Stroke: wayPale, Width: max(float64(p.Width)*f.scale, 3)})
		}
		style := drawing.Style{Stroke: wayGreen, Width: 1.2, Dash: []float64{2, 4}}
		if f.paper {
			style = wayOnPaper
		}
		own.Lines(line, false, style)
	}
}

// marksOnFloor draws the places that things and people go to: a cross each.
func (f *floor) marksOnFloor(g *drawing.Group) {
	for i := range f.room.Marks {
		p := &f.room.Marks[i].Value
		at := f.at(float64(p[0]), float64(p[1]))
		cross(f.thing(g, "mark", f.room.Marks[i].Name), at[0], at[1])
	}
}

func cross(g *drawing.Group, x, y float64) {
	g.Line(x-4, y-4, x+4, y+4, drawing.Ink, 1.3)
	g.Line(x-4, y+4, x+4, y-4, drawing.Ink, 1.3)
}

// takeMarks claims the places of all marks of the floor, so that no name lies on them.
func (f *floor) takeMarks(l *labels) {
	for i := range f.room.Seats {
		at := f.eye(i)
		l.take([4]float64{at[0] - 6, at[1] - 6, at[0] + 6, at[1] + 6})
	}
	for i := range f.room.People {
		at := f.eye(len(f.room.Seats) + i)
		l.take([4]float64{at[0] - 8, at[1] - 8, at[0] + 8, at[1] + 8})
	}
	for i := range f.room.Marks {
		p := &f.room.Marks[i].Value
		at := f.at(float64(p[0]), float64(p[1]))
		l.take([4]float64{at[0] - 5, at[1] - 5, at[0] + 5, at[1] + 5})
	}
	for _, t := range f.things() {
		if !t.level {
			l.take([4]float64{min(t.a[0], t.b[0]) - 3, min(t.a[1], t.b[1]) - 3, max(t.a[0], t.b[0]) + 3, max(t.a[1], t.b[1]) + 3})
		}
	}
}

// nameStanding names performers, ways, pillars, boxes, and where marks is set marks; then seats, of which a
// name is left out where there is no room.
func (f *floor) nameStanding(g *drawing.Group, l *labels, marks bool) {
	about := func(x, y, half float64) [4]float64 { return [4]float64{x - half, y - half, x + half, y + half} }
	for i := range f.room.People {
		if e := len(f.room.Seats) + i; f.away == nil || !f.away[e] {
			at := f.eye(e)
			l.name(g, about(at[0], at[1], 8), quiet(f.room.People[i].Name))
		}
	}
	for i := range f.room.Paths {
		if points := f.room.Paths[i].Value.Points; len(points) > 0 {
			p := points[len(points)/2]
			at := f.at(float64(p[0]), float64(p[1]))
			l.name(g, about(at[0], at[1], 1), quiet(f.room.Paths[i].Name))
		}
	}
	for i := range f.room.Pillars {
		p := &f.room.Pillars[i].Value
		at := f.at(float64(p.Foot[0]), float64(p.Foot[1]))
		l.name(g, about(at[0], at[1], max(float64(p.Across)/2*f.scale, 3)), quiet(f.room.Pillars[i].Name))
	}
	for i := range f.room.Boxes {
		b := &f.room.Boxes[i].Value
		at := f.at(float64(b.Centre[0]), float64(b.Centre[1]))
		l.name(g, about(at[0], at[1], 3), quiet(f.room.Boxes[i].Name))
	}
	if marks {
		for i := range f.room.Marks {
			p := &f.room.Marks[i].Value
			at := f.at(float64(p[0]), float64(p[1]))
			l.name(g, about(at[0], at[1], 5), quiet(f.room.Marks[i].Name))
		}
	}
	for i := range f.room.Seats {
		at := f.eye(i)
		l.name(g, about(at[0], at[1], 6), quiet(f.room.Seats[i].Name))
	}
}

// eye is where a seat or a performer is, seats first: as the transport has it, if there is one.
func (f *floor) eye(i int) drawing.Point {
	at := room.Point{}
	switch {
	case i < len(f.eyes):
		at = f.eyes[i]
	case i < len(f.room.Seats):
		at = f.room.Seats[i].At
	default:
		at = f.room.People[i-len(f.room.Seats)].At
	}
	return f.at(float64(at[0]), float64(at[1]))
}

// stands tells the front of a surface or object from the other panels.
func stands(p *room.Panel) bool {
	return !p.Back && (p.Kind == room.KindSurface || p.Kind == room.KindObject)
}

// edgeStyle is that of the stage's edge, here and in the key.
func edgeStyle(c color.NRGBA) drawing.Style {
	return drawing.Style{Stroke: c, Width: 1.2, Dash: []float64{6, 4}}
}

// person is how seats and performers are drawn.
var person = drawing.Style{Fill: drawing.White, Stroke: drawing.Ink, Width: 1.4}

// people draws seats as rings and performers as triangles.
func (f *floor) people(g *drawing.Group) {
	for i := range f.room.Seats {
		at := f.eye(i)
		seat(f.thing(g, "seat", f.room.Seats[i].Name), at[0], at[1])
	}
	for i := range f.room.People {
		e := len(f.room.Seats) + i
		if f.away != nil && f.away[e] {
			continue
		}
		at := f.eye(e)
		performer(f.thing(g, "performer", f.room.People[i].Name), at[0], at[1])
	}
}

// seat and performer draw one of each about a pixel, here and in the key.
func seat(g *drawing.Group, x, y float64) { g.Lines(drawing.Ring(x, y, 5), true, person) }

func performer(g *drawing.Group, x, y float64) {
	g.Lines([]drawing.Point{{x, y - 7}, {x + 6.5, y + 5}, {x - 6.5, y + 5}}, true, person)
}

// axes draws the walls, and metres along them.
func (f *floor) axes(g *drawing.Group) {
	g.Box(f.left, f.top, f.width(), f.height(), none, drawing.Ink)
	every := step(math.Max(f.x1-f.x0, f.y1-f.y0), 10)
	for i := math.Ceil(f.x0/every - 1e-9); i*every <= f.x1+1e-9; i++ {
		at := f.at(i*every, f.y0)
		g.Line(at[0], at[1], at[0], at[1]+5, drawing.Ink, 1)
		g.Label(at[0], at[1]+19, drawing.Centre, drawing.Ink, tick(i*every, every))
	}
	for i := math.Ceil(f.y0/every - 1e-9); i*every <= f.y1+1e-9; i++ {
		at := f.at(f.x0, i*every)
		g.Line(at[0]-5, at[1], at[0], at[1], drawing.Ink, 1)
		g.Label(at[0]-9, at[1]+4.5, drawing.Right, drawing.Ink, tick(i*every, every))
	}
	g.Label(f.left+f.width()/2, f.top+f.height()+38, drawing.Centre, drawing.Ink, "x to the right as the audience sees it, m")
	g.Add(&drawing.Text{At: drawing.Point{f.left - 48, f.top + f.height()/2}, Words: "y away from the audience, m", Anchor: drawing.Centre, Fill: drawing.Ink, Turned: true})
}

// key lists marks and what they mean, downwards from y.
type key struct {
	g    *drawing.Group
	x, y float64
}

// mark adds a line: the mark as draw makes it about a pixel, and its meaning.
func (k *key) mark(text string, draw func(g *drawing.Group, x, y float64)) {
	draw(k.g, k.x+11, k.y-4)
	k.g.Label(k.x+33, k.y, drawing.Left, drawing.Ink, text)
	k.y += 24
}

// standing lists what furniture and people draw; under is what lies under them.
func (k *key) standing(edge, under color.NRGBA) {
	k.mark("seat", seat)
	k.mark("performer", performer)
	k.mark("drape or other surface", func(g *drawing.Group, x, y float64) { g.Line(x-11, y, x+11, y, drawing.Ink, 2.6) })
	k.mark("painted object", func(g *drawing.Group, x, y float64) { g.Line(x-11, y, x+11, y, purple, 2.6) })
	k.mark("way in the dark", func(g *drawing.Group, x, y float64) {
		line := []drawing.Point{{x - 11, y}, {x + 13, y}}
		g.Lines(line, false, drawing.Style{Stroke: wayPale, Width: 12})
		g.Lines(line, false, drawing.Style{Stroke: wayGreen, Width: 1.2, Dash: []float64{2, 4}})
	})
	k.mark("edge of the stage", func(g *drawing.Group, x, y float64) {
		g.Box(x-13, y-6, 26, 12, under, none)
		g.Lines([]drawing.Point{{x - 11, y}, {x + 11, y}}, false, edgeStyle(edge))
	})
}
