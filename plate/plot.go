package plate

import (
	"fmt"
	"image/color"
	"math"
	"strings"

	"lampblack/plate/drawing"
	"lampblack/rig"
	"lampblack/room"
	"lampblack/si"
)

// Plot is the lighting plan: the room from above with its units where they hang,
// in their true size and direction, and how wide their light is.
type Plot struct {
	Title     string
	Room      *room.Room
	Rig       *rig.Rig
	Transport *room.Transport // what stands in the room; may be nil
	Guessed   string          // which of it is a guess, as a sentence; "" when nothing is
}

// The plan is drawn larger than those of light: it is read on paper, beside a
// ladder.
const (
	plotSide   = 900.0 // the larger side of the room, pixels
	plotAcross = 720.0 // its width at most
	plotKey    = 270.0 // width of the key
)

// Draw draws the plate. It fails on a room without a size. From the ground up: metres,
// what lies flat, what stands, people, all beams, all units, so that no beam covers a unit;
// names last, where room is left.
func (p *Plot) Draw() (*drawing.Drawing, error) {
	if !(p.Room.Size[0] > 0 && p.Room.Size[1] > 0) {
		return nil, fmt.Errorf("draw plan: the room has no size")
	}
	f := newFloor(p.Room, p.Transport, plotSide, plotAcross)
	f.edge = drawing.Ink
	f.thing = func(g *drawing.Group, class, name string) *drawing.Group {
		own := &drawing.Group{Class: class, Title: name}
		g.Add(own)
		return own
	}
	d := drawing.New(f.left+f.width()+plotKey, math.Max(f.top+f.height()+96, f.top+p.keyHeight()), p.Title)
	d.Says = p.says()
	d.Heading(f.left-56, 30, p.Title)
	p.ground(&d.Group, &f, true)
	for u := range p.Rig.Units {
		symbol(&d.Group, &f, &p.Rig.Units[u])
	}
	p.names(d, &f)
	f.axes(&d.Group)
	p.key(d, &f)
	d.Add(&drawing.Text{At: drawing.Point{f.left - 56, f.top + f.height() + 66}, Size: 12, Anchor: drawing.Left, Fill: drawing.Ink,
		Words: "Units in their true size, with the height of their light over the floor."})
	d.Add(&drawing.Text{At: drawing.Point{f.left - 56, f.top + f.height() + 84}, Size: 12, Anchor: drawing.Left, Fill: drawing.Ink,
		Words: "Hanging things over people is for those who are trained and licensed for it."})
	if p.Guessed != "" {
		d.Add(&drawing.Text{At: drawing.Point{f.left - 56, 46}, Size: 12, Anchor: drawing.Left, Fill: brown, Words: p.Guessed})
	}
	return d, nil
}

// says is the plan in words, for who cannot see it.
func (p *Plot) says() string {
	names := make([]string, len(p.Rig.Units))
	for i := range p.Rig.Units {
		names[i] = p.Rig.Units[i].Name.Name
	}
	return "Lighting plan: " + strings.Join(names, ", ")
}

// metres rules the floor at whole metres from the room's origin.
func (f *floor) metres(g *drawing.Group) {
	for x := math.Ceil(f.x0); x <= f.x1; x++ {
		a, b := f.at(x, f.y0), f.at(x, f.y1)
		g.Line(a[0], a[1], b[0], b[1], pale, 1)
	}
	for y := math.Ceil(f.y0); y <= f.y1; y++ {
		a, b := f.at(f.x0, y), f.at(f.x1, y)
		g.Line(a[0], a[1], b[0], b[1], pale, 1)
	}
}

// levels outlines what lies flat: floors, platforms, borders.
func (f *floor) levels(g *drawing.Group) {
	for _, t := range f.things() {
		if t.level {
			f.thing(g, "level", t.name).Lines(t.edge, true, drawing.Style{Stroke: grey, Width: .8, Dash: []float64{8, 4}})
		}
	}
}

// kindOf is the unit's type; one without size, light and modes when it is not
// there, as while a file is being written.
func kindOf(u *rig.Unit) *rig.Type {
	if u.Type == nil {
		return &rig.Type{Name: u.TypeName.Name}
	}
	return u.Type
}

// dark tells units that give nothing but ultraviolet.
func dark(u *rig.Unit) bool {
	emitters := kindOf(u).Emitters
	for i := range emitters {
		if !emitters[i].Value.Light.BlackLight() {
			return false
		}
	}
	return len(emitters) > 0
}

// widest is the half field angle beyond which a beam is no wedge to be drawn.
const widest = 1.3

// beam draws the line to the aim, and the field angle up to there; where none is
// given, the beam angle.
func beam(g *drawing.Group, f *floor, u *rig.Unit) {
	at, aim := f.hung(u)
	own := &drawing.Group{Class: "beam"}
	far, turn := math.Hypot(aim[0]-at[0], aim[1]-at[1]), math.Atan2(aim[1]-at[1], aim[0]-at[0])
	half := float64(kindOf(u).Beam.Tenth) / 2
	if half == 0 {
		half = float64(kindOf(u).Beam.Half) / 2
	}
	// The angle is drawn as if the beam lay level; a steep one lights a wider patch than
	// its wedge shows.
	if half > 0 && half < widest && far > 1 {
		// Both corners lie on the line across the aim: far / cos(half) away.
		wedge := []drawing.Point{at}
		for _, side := range []float64{-half, half} {
			sin, cos := math.Sincos(turn + side)
			reach := far / math.Cos(half)
			wedge = append(wedge, drawing.Point{at[0] + float64(reach*cos), at[1] + float64(reach*sin)})
		}
		fill := lightOf(u)
		if f.paper {
			fill = f.beam
		}
		own.Lines(wedge, true, drawing.Style{Fill: fill})
	}
	own.Lines([]drawing.Point{at, aim}, false, aimed)
	g.Add(own)
}

// aimed is the style of the line from a unit to its aim.
var aimed = drawing.Style{Stroke: soft, Width: .8, Dash: []float64{4, 4}}

// lightOf is the tint of a unit's beam; those that overlap add up as they darken.
func lightOf(u *rig.Unit) color.NRGBA {
	if dark(u) {
		return drawing.Thin(violet, .13)
	}
	return drawing.Thin(amber, .16)
}

// leastBody is the least size that a unit is drawn in, in m, so that it can be
// seen.
const leastBody = .12

// symbol draws a unit as its body from above: the sides of a box that can be
// seen, behind its light, and a dot for each cell.
func symbol(g *drawing.Group, f *floor, u *rig.Unit) {
	own := &drawing.Group{Class: "unit", Name: u.Name.Name, Title: about(u)}
	g.Add(own)
	axes := axesOf(u)
	for _, outline := range f.body(u, axes) {
		own.Lines(outline, true, drawing.Style{Fill: drawing.White, Stroke: drawing.Ink, Width: 1.2})
	}
	// The dots lie on the face that light leaves by, also where it looks down: a
	// plan shows where the light is, not what hides it.
	n := kindOf(u).CellCount()
	ink, each := drawing.Ink, float64(kindOf(u).Size[0])/float64(n)
	if dark(u) {
		ink = violet
	}
	for c := range n {
		along := (float64(c) - float64(n-1)/2) * each
		at := f.at(float64(u.At[0])+along*float64(axes[0][0]), float64(u.At[1])+along*float64(axes[0][1]))
		own.Lines(drawing.Ring(at[0], at[1], math.Min(2.6, math.Max(.8, each*f.scale/3))), true, drawing.Style{Fill: ink})
	}
}

// axesOf are the directions of a unit's row of cells, across it, and of its
// light. One that aims nowhere lies level, toward the back of the stage.
func axesOf(u *rig.Unit) [3]room.Point {
	axis, row := room.Hung(u)
	if axis == (room.Point{}) {
		axis, row = room.Point{0, 1, 0}, room.Point{1, 0, 0}
	}
	across := room.Point{axis[1]*row[2] - axis[2]*row[1], axis[2]*row[0] - axis[0]*row[2], axis[0]*row[1] - axis[1]*row[0]}
	return [3]room.Point{row, across, axis}
}

// body is what is seen of a unit from above, in pixels.
func (f *floor) body(u *rig.Unit, axes [3]room.Point) [][]drawing.Point {
	var out [][]drawing.Point
	for _, face := range sides(u, axes) {
		outline := make([]drawing.Point, len(face))
		for i, p := range face {
			outline[i] = f.at(p[0], p[1])
		}
		out = append(out, outline)
	}
	return out
}

// taken is the box of pixels that a unit's symbol takes: left, top, right, bottom.
func (f *floor) taken(u *rig.Unit) [4]float64 {
	at, _ := f.hung(u)
	box := [4]float64{at[0] - 3, at[1] - 3, at[0] + 3, at[1] + 3}
	for _, outline := range f.body(u, axesOf(u)) {
		for _, p := range outline {
			box = [4]float64{min(box[0], p[0]), min(box[1], p[1]), max(box[2], p[0]), max(box[3], p[1])}
		}
	}
	return box
}

// sides are the faces of a unit's body that look up; its light is the middle of
// the last axis' face. Each is four corners seen from above, in metres: up to three faces of
// a box can be seen at once, one when it hangs straight.
func sides(u *rig.Unit, axes [3]room.Point) [][][2]float64 {
	var size [3]float64
	for i := range size {
		size[i] = math.Max(float64(kindOf(u).Size[i]), leastBody)
	}
	// The body lies behind its light: a unit hangs, by its file, where light leaves
	// it. corner is that of the box at these ends of its axes, -1 or 1.
	corner := func(ends [3]float64) [2]float64 {
		var p [2]float64
		for k := range p {
			p[k] = float64(u.At[k]) - float64(axes[2][k])*size[2]/2
			for i, e := range ends {
				p[k] += e * size[i] / 2 * float64(axes[i][k])
			}
		}
		return p
	}
	var out [][][2]float64
	for i, axis := range axes {
		for _, end := range []float64{-1, 1} {
			// Faces that look up hide each other nowhere, as a box has no hollows: they
			// may be drawn in any order.
			if end*float64(axis[2]) < 1e-6 {
				continue
			}
			a, b := (i+1)%3, (i+2)%3
			var face [][2]float64
			for _, s := range [][2]float64{{-1, -1}, {1, -1}, {1, 1}, {-1, 1}} {
				var ends [3]float64
				ends[i], ends[a], ends[b] = end, s[0], s[1]
				face = append(face, corner(ends))
			}
			out = append(out, face)
		}
	}
	return out
}

// about is what is said of a unit where it is pointed at.
func about(u *rig.Unit) string {
	text := fmt.Sprintf("%s: %s, universe %d, slot %d", u.Name.Name, kindOf(u).Name, u.Universe, u.Address)
	if u.Mode != nil && u.Mode.Footprint > 1 {
		text = fmt.Sprintf("%s: %s, universe %d, slots %d to %d", u.Name.Name, kindOf(u).Name, u.Universe, u.Address, u.Address+u.Mode.Footprint-1)
	}
	return text + fmt.Sprintf(", %s up", si.Say(float64(u.At[2]), "m"))
}

// names writes each unit's name and height where there is room, under its symbol
// if there is; then the names of what stands in the room, where units left
// room. None lies on another or on a mark.
func (p *Plot) names(d *drawing.Drawing, f *floor) {
	l := labels{frame: [4]float64{f.left - 40, f.top - 20, f.left + f.width() + 30, f.top + f.height()}}
	for u := range p.Rig.Units {
		l.take(f.taken(&p.Rig.Units[u]))
	}
	f.takeMarks(&l)
	for u := range p.Rig.Units {
		unit := &p.Rig.Units[u]
		under := &drawing.Text{Words: si.Say(float64(unit.At[2]), "m"), Size: 10, Anchor: drawing.Centre, Fill: soft, Halo: true}
		l.name(&d.Group, f.taken(unit), small(0, 0, short(unit.Name.Name)), under)
	}
	for _, t := range f.things() {
		if !t.level && t.kind == room.KindSurface {
			f.nameSurface(d, &t, &l)
		}
	}
	f.nameStanding(&d.Group, &l, true)
	for _, t := range f.things() {
		if !t.level && t.kind == room.KindObject {
			l.name(&d.Group, [4]float64{min(t.a[0], t.b[0]), min(t.a[1], t.b[1]) - 3, max(t.a[0], t.b[0]), max(t.a[1], t.b[1]) + 3}, quiet(t.name))
		}
	}
}

// nameSurface writes the name along the surface, on the side of the stage's
// middle or the audience.
func (f *floor) nameSurface(d *drawing.Drawing, t *onFloor, taken *labels) {
	a, b := t.a, t.b
	x, y := (a[0]+b[0])/2, (a[1]+b[1])/2
	if math.Abs(a[0]-b[0]) >= math.Abs(a[1]-b[1]) {
		taken.name(&d.Group, [4]float64{x - 2, y - 3, x + 2, y + 3}, quiet(t.name))
		return
	}
	aside := 14.0
	if x > f.left+f.width()/2 {
		aside = -5
	}
	name := quiet(t.name)
	name.At, name.Turned = drawing.Point{x + aside, y}, true
	half := wide * float64(len([]rune(name.Words))) / 2
	if taken.free([4]float64{x + aside - 10, y - half, x + aside + 2, y + half}) {
		d.Add(name)
	}
}

// keyHeight is what the key takes: two lines for each type, and the marks. Types that no
// unit is of are counted too, which leaves white.
func (p *Plot) keyHeight() float64 { return 44*float64(len(p.Rig.Types)) + 24*10 + 60 }

// key lists the types with how many there are, and what the marks mean.
func (p *Plot) key(d *drawing.Drawing, f *floor) {
	k := key{&d.Group, f.left + f.width() + 34, f.top + 14}
	for _, t := range p.Rig.Types {
		n := 0
		for u := range p.Rig.Units {
			if p.Rig.Units[u].Type == t.Value {
				n++
			}
		}
		if n == 0 {
			continue
		}
		d.Label(k.x, k.y, drawing.Left, drawing.Ink, short(fmt.Sprintf("%d × %s", n, t.Value.Name)))
		d.Label(k.x, k.y+16, drawing.Left, soft, angles(&t.Value.Beam))
		k.y += 44
	}
	wedge := func(c color.NRGBA) func(g *drawing.Group, x, y float64) {
		return func(g *drawing.Group, x, y float64) {
			g.Lines([]drawing.Point{{x - 13, y}, {x + 11, y - 7}, {x + 11, y + 7}}, true, drawing.Style{Fill: c})
			g.Lines([]drawing.Point{{x - 13, y}, {x + 11, y}}, false, aimed)
		}
	}
	k.mark("light, to where it aims", wedge(drawing.Thin(amber, .16)))
	k.mark("ultraviolet alone", wedge(drawing.Thin(violet, .13)))
	k.standing(drawing.Ink, none)
	k.mark("mark, where things and people go", cross)
	k.mark("floor or platform", func(g *drawing.Group, x, y float64) {
		g.Lines([]drawing.Point{{x - 11, y}, {x + 13, y}}, false, drawing.Style{Stroke: grey, Width: .8, Dash: []float64{8, 4}})
	})
}

// angles says a beam's full angles in whole degrees, as catalogues do.
func angles(b *rig.Beam) string {
	degrees := func(a si.Angle) float64 { return math.Round(float64(a) * 180 / math.Pi) }
	text := fmt.Sprintf("beam %g°", degrees(b.Half))
	if b.Tenth > 0 {
		text += fmt.Sprintf(", field %g°", degrees(b.Tenth))
	}
	return text
}

// ground draws what units hang over, and their beams.
func (p *Plot) ground(g *drawing.Group, f *floor, wide bool) {
	f.metres(g)
	f.levels(g)
	f.ways(g, wide)
	f.furniture(g)
	f.people(g)
	f.marksOnFloor(g)
	for u := range p.Rig.Units {
		beam(g, f, &p.Rig.Units[u])
	}
}
