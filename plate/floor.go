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
	x0, y0, x1, y1 float64      // metres
	left, top      float64      // pixels
	scale          float64      // pixels per metre
	edge           color.NRGBA  // of the stage, against what lies under it
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
		f.thing(g, "box", f.room.Boxes[i].Name).Lines([]drawing.Point{f.at(x-w, y-d), f.at(x+w, y-d), f.at(x+w, y+d), f.at(x-w, y+d)}, true,
			drawing.Style{Fill: drawing.Thin(drawing.White, .25), Stroke: drawing.Ink, Width: 1})
	}
	for i := range f.panels {
		p := &f.panels[i]
		if !upright(p) {
			continue
		}
		a, b := f.foot(p)
		stroke := drawing.Ink
		if p.Kind == room.KindObject {
			stroke = purple
		}
		own := f.thing(g, string(p.Kind), p.Name)
		own.Line(a[0], a[1], b[0], b[1], drawing.White, 5)
		own.Line(a[0], a[1], b[0], b[1], stroke, 2.6)
	}
	a, b := f.at(f.x0, 0), f.at(f.x1, 0)
	f.thing(g, "edge", "edge of the stage").Lines([]drawing.Point{a, b}, false, edgeStyle(f.edge))
}

// stands tells the front of a surface or object from the other panels.
func stands(p *room.Panel) bool {
	return !p.Back && (p.Kind == room.KindSurface || p.Kind == room.KindObject)
}

// upright tells those that a plan shows as a line.
func upright(p *room.Panel) bool { return stands(p) && math.Abs(float64(p.Normal[2])) < .5 }

// foot is the lower edge of a panel.
func (f *floor) foot(p *room.Panel) (a, b drawing.Point) {
	x, y := float64(p.Corner[0]), float64(p.Corner[1])
	return f.at(x, y), f.at(x+float64(p.U[0])*p.Width, y+float64(p.U[1])*p.Width)
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
		e := &f.room.Seats[i]
		at := f.at(float64(e.At[0]), float64(e.At[1]))
		seat(f.thing(g, "seat", e.Name), at[0], at[1])
	}
	for i := range f.room.People {
		e := &f.room.People[i]
		at := f.at(float64(e.At[0]), float64(e.At[1]))
		performer(f.thing(g, "performer", e.Name), at[0], at[1])
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
	k.mark("edge of the stage", func(g *drawing.Group, x, y float64) {
		g.Box(x-13, y-6, 26, 12, under, none)
		g.Lines([]drawing.Point{{x - 11, y}, {x + 11, y}}, false, edgeStyle(edge))
	})
}
