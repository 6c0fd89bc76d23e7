package room

import (
	"fmt"
	"slices"

	"lampblack/si"
	"lampblack/source"
)

// Limits of a room. A town's largest hall is well inside them.
const (
	longest  = 200.0 // m
	shortest = .5    // m
	mostEach = 500   // surfaces, objects, boxes, eyes
)

// Read reads room.yaml and returns all that is wrong with it.
func Read(file string, data []byte) (*Room, source.Faults) {
	r := &Room{}
	faults := source.Decode(file, data, r)
	r.guessSize()
	if r.Pos.Line > 0 {
		c := checking{room: r, faults: &faults, names: map[string]source.Pos{}}
		c.all()
	}
	faults.Sort()
	return r, faults
}

// checking is one pass over a room's text. names are those given so far, with the place of
// each; the six faces of the room have a place without a line.
type checking struct {
	room   *Room
	faults *source.Faults
	names  map[string]source.Pos
}

// all checks the text part by part, in an order in which each part may lean on those
// before it: sizes first, names of the room's own faces before those that a person gives.
// Each part leaves values that can be computed with.
func (c *checking) all() {
	c.size()
	c.counts()
	for i := range c.room.Materials {
		c.material(c.room.Materials[i].Name, &c.room.Materials[i].Value)
	}
	for i := range c.room.Paints {
		c.ownPaint(&c.room.Paints[i])
	}
	for _, ref := range []*source.Ref{&c.room.Walls, &c.room.Floor, &c.room.Ceiling} {
		c.knownMaterial(ref, DefaultWall, c.room.Pos)
	}
	for _, name := range []string{FloorName, CeilingName, LeftWall, RightWall, StageWall, AudienceWall} {
		c.names[name] = source.Pos{}
	}
	for i := range c.room.Surfaces {
		c.surface(&c.room.Surfaces[i])
	}
	for i := range c.room.Boxes {
		c.box(&c.room.Boxes[i])
	}
	for i := range c.room.Pillars {
		c.pillar(&c.room.Pillars[i])
	}
	c.buried()
	for i := range c.room.Objects {
		c.object(&c.room.Objects[i])
	}
	c.eyes(c.room.Seats, "seat")
	c.eyes(c.room.People, "performer")
	for i := range c.room.Paths {
		c.path(&c.room.Paths[i])
	}
	c.stray()
	c.haze()
	c.marks()
	c.carried()
}

// size makes the room a box that can be computed with even after faults.
func (c *checking) size() {
	r := c.room
	for i, what := range []string{"width", "depth", "height"} {
		v := float64(r.Size[i])
		if !(v >= shortest && v <= longest) {
			c.faults.Add(r.Pos, "width, depth and height of the whole room, in metres",
				"the room's %s of %v lies outside %v m to %v m", what, r.Size[i], shortest, longest)
			r.Size[i] = 10
		}
	}
	if f := r.Front; !(f >= 0 && f <= r.Size[1]) {
		c.faults.Add(r.Pos, "the distance of the stage's front edge from the wall behind the audience",
			"the stage front of %v lies outside the room's depth of %v", f, r.Size[1])
		r.Front = r.Size[1] / 2
	}
}

// counts cuts lists that are too long; what is cut off is not looked at.
func (c *checking) counts() {
	r := c.room
	for _, n := range []struct {
		what  string
		count int
	}{{"surfaces", len(r.Surfaces)}, {"objects", len(r.Objects)}, {"boxes", len(r.Boxes)}, {"pillars", len(r.Pillars)}, {"paints", len(r.Paints)},
		{"seats", len(r.Seats)}, {"performers", len(r.People)}, {"paths", len(r.Paths)}, {"marks", len(r.Marks)}, {"kinds of stray light", len(r.Stray)}} {
		if n.count > mostEach {
			c.faults.Add(r.Pos, "keep the seats and things that matter most", "%d %s are more than the %d that one room may have", n.count, n.what, mostEach)
		}
	}
	r.Surfaces, r.Objects = r.Surfaces[:min(len(r.Surfaces), mostEach)], r.Objects[:min(len(r.Objects), mostEach)]
	r.Pillars, r.Paints = r.Pillars[:min(len(r.Pillars), mostEach)], r.Paints[:min(len(r.Paints), mostEach)]
	r.Marks, r.Stray = r.Marks[:min(len(r.Marks), mostEach)], r.Stray[:min(len(r.Stray), mostEach)]
	r.Boxes, r.Paths = r.Boxes[:min(len(r.Boxes), mostEach)], r.Paths[:min(len(r.Paths), mostEach)]
	r.Seats, r.People = r.Seats[:min(len(r.Seats), mostEach)], r.People[:min(len(r.People), mostEach)]
}

// name claims a name for one thing of the room; all share one set of names,
// because a look or a report names any of them.
func (c *checking) name(name string, pos source.Pos) {
	first, taken := c.names[name]
	switch {
	case taken && first.Line == 0:
		c.faults.Add(pos, "give it another name", "%q is the room's own %s already", name, name)
	case taken:
		c.faults.Add(pos, fmt.Sprintf("the first is on line %d", first.Line), "two things of the room are called %q", name)
	default:
		c.names[name] = pos
	}
}

// knownMaterial puts the standard material in the place of none, or of one that is not
// known. ref gets a place all the same, for later findings about it.
func (c *checking) knownMaterial(ref *source.Ref, standard string, at source.Pos) {
	if ref.Name == "" {
		*ref = source.Ref{Name: standard, Pos: at}
		return
	}
	if _, ok := c.room.Reflectance(ref.Name); !ok {
		c.faults.Add(ref.Pos, source.OneOf(ref.Name, c.room.materialNames()), "there is no material %q", ref.Name)
		ref.Name = standard
	}
}

// brightPaint is said of what would reflect all light: the room's light would
// not die away.
const brightPaint = "bright white paint reflects 80 % to 90 %"

func percent(r si.Ratio) string { return fmt.Sprintf("%.4g %%", 100*float64(r)) }

// material checks a reflectance, or a table of them with rising wavelengths. A table is
// kept up to where it goes wrong.
func (c *checking) material(name string, m *Material) {
	if (m.Reflects == nil) == (len(m.Reflectance) == 0) {
		c.faults.Add(m.Pos, "reflects: 30 %, or reflectance: a list of at and share", "material %q needs either one reflectance or a table", name)
	}
	if m.Reflects != nil && !share(*m.Reflects) {
		c.faults.Add(m.Pos, brightPaint, "material %q reflects %s, which lies outside 0 %% to 98 %%", name, percent(*m.Reflects))
		*m.Reflects = .5
	}
	for i, row := range m.Reflectance {
		if !share(row.Share) {
			c.faults.Add(m.Pos, brightPaint, "material %q reflects %s at %v, which lies outside 0 %% to 98 %%", name, percent(row.Share), row.At)
			m.Reflectance[i].Share = .5
		}
		if i > 0 && row.At <= m.Reflectance[i-1].At {
			c.faults.Add(m.Pos, "", "the wavelengths of material %q do not ascend at %v", name, row.At)
			m.Reflectance = m.Reflectance[:i]
			break
		}
	}
}

// share tells whether a reflectance is one that matt things have; at 1 light
// would never come to rest.
func share(v si.Ratio) bool { return v >= 0 && v <= mostReflected }

// surface checks a flat thing that is lit; without a material it is black cloth.
func (c *checking) surface(e *source.Entry[Surface]) {
	s := &e.Value
	c.name(e.Name, e.Pos)
	c.knownMaterial(&s.Material, DefaultDrape, e.Pos)
	c.rectangle("surface", e.Name, s.Pos, s.Centre, &s.Width, &s.Height, &s.Faces)
	c.outline("surface", e.Name, s.Pos, s.Shape, &s.Outline, s.Width, s.Height)
	c.opens(e)
}

// object checks a painted object. Its background may be a surface, a box, a face of the
// room, or a material that is thought close behind it.
func (c *checking) object(e *source.Entry[Object]) {
	o := &e.Value
	c.name(e.Name, e.Pos)
	if o.Paint.Name != "" && c.room.paintNamed(o.Paint.Name) == nil {
		c.faults.Add(o.Paint.Pos, source.OneOf(o.Paint.Name, append(source.Names(c.room.Paints), MaterialNames()...)), "there is no paint %q", o.Paint.Name)
		o.Paint.Name = MaterialNames()[0]
	}
	if b := &o.Background; b.Name != "" && c.room.Surfaces.Get(b.Name) == nil && c.room.Boxes.Get(b.Name) == nil && c.room.Pillars.Get(b.Name) == nil && !c.ownFace(b.Name) {
		if _, ok := c.room.Reflectance(b.Name); !ok {
			known := append(source.Names(c.room.Surfaces), c.room.materialNames()...)
			c.faults.Add(b.Pos, source.OneOf(b.Name, known), "the background %q is neither a surface nor a material", b.Name)
			b.Name = ""
		}
	}
	c.rectangle("object", e.Name, o.Pos, o.Centre, &o.Width, &o.Height, &o.Faces)
	c.outline("object", e.Name, o.Pos, o.Shape, &o.Outline, o.Width, o.Height)
	for _, in := range c.room.inside(o.Centre.vec()) {
		c.faults.Add(o.Pos, "", "object %q is inside %s", e.Name, in)
	}
}

// ownFace tells whether a name is that of one of the six faces, which have no place in
// the file.
func (c *checking) ownFace(name string) bool {
	pos, ok := c.names[name]
	return ok && pos.Line == 0
}

// buried tells of surfaces that no light can reach: all of them is inside a box.
func (c *checking) buried() {
	for i := range c.room.Surfaces {
		s := &c.room.Surfaces[i]
		f := sheet{}.placed(s.Value.Centre.vec(), s.Value.Faces.vec(), float64(s.Value.Width), float64(s.Value.Height))
		for j := range c.room.Boxes {
			b := &c.room.Boxes[j]
			all := true
			for _, corner := range f.corners() {
				all = all && b.Value.holds(corner)
			}
			if all {
				c.faults.Add(s.Value.Pos, "move it, or leave it out: it is never seen and never lit", "surface %q is inside the box %q", s.Name, b.Name)
			}
		}
	}
}

// rectangle checks what surfaces and objects have in common, and leaves
// something that can be computed with.
func (c *checking) rectangle(kind, name string, pos source.Pos, centre Point, width, height *si.Length, faces *Point) {
	for _, side := range []*si.Length{width, height} {
		if !(*side >= .001 && *side <= longest) {
			c.faults.Add(pos, "", "the size %v of %s %q lies outside 1 mm to %v m", *side, kind, name, longest)
			*side = .1
		}
	}
	n := faces.vec()
	// Written so that a NaN, too, is a fault.
	if l := n.length(); !(l > 1e-6 && l < 1e6) {
		c.faults.Add(pos, "[0 m, -1 m, 0 m] faces the audience", "%s %q faces nowhere: the direction %v has no length", kind, name, *faces)
		*faces = Point{0, -1, 0}
		n = faces.vec()
	}
	s := sheet{}.placed(centre.vec(), n, float64(*width), float64(*height))
	out := 0.0
	for _, corner := range s.corners() {
		out = max(out, c.room.outside(corner))
	}
	if out > slack {
		c.faults.Add(pos, c.extent(), "%s %q reaches %s into a wall, the floor or the ceiling", kind, name, si.Say(out, "m"))
	}
}

// extent is the hint of what lies outside: from where to where the room goes.
func (c *checking) extent() string {
	low, high := c.room.low(), c.room.high()
	return fmt.Sprintf("the room goes from x %.2f m, y %.2f m, z 0 m to x %.2f m, y %.2f m, z %.2f m", low[0], low[1], high[0], high[1], high[2])
}

// box checks a box, of grey paint when it says nothing.
func (c *checking) box(e *source.Entry[Box]) {
	b := &e.Value
	c.name(e.Name, e.Pos)
	c.knownMaterial(&b.Material, DefaultWall, e.Pos)
	for i, side := range b.Size {
		if !(side >= .001 && side <= longest) {
			c.faults.Add(b.Pos, "", "the size %v of box %q lies outside 1 mm to %v m", side, e.Name, longest)
			b.Size[i] = .1
		}
	}
	low, high := b.corners()
	if out := max(c.room.outside(low), c.room.outside(high)); out > slack {
		c.faults.Add(b.Pos, c.extent(), "box %q reaches %s into a wall, the floor or the ceiling", e.Name, si.Say(out, "m"))
	}
}

// eyes names eyes that have no name by their number, and checks where they are.
func (c *checking) eyes(eyes []Eye, kind string) {
	for i := range eyes {
		e := &eyes[i]
		if e.Name == "" {
			e.Name = fmt.Sprintf("%s %d", kind, i+1)
		}
		c.name(e.Name, e.Pos)
		c.standing(kind+" "+e.Name, e.Pos, e.At.vec())
		dress := DefaultDress
		if e.Hooded {
			dress = DefaultDrape
		}
		c.knownMaterial(&e.Wears, dress, e.Pos)
		if e.Looks != nil && e.Looks.vec().minus(e.At.vec()).length() < .01 {
			c.faults.Add(e.Pos, "a point in the room, not a direction", "%s looks at the place of its own eyes", e.Name)
			e.Looks = nil
		}
	}
}

// standing checks a point where a person is: inside the room and in no box.
func (c *checking) standing(what string, pos source.Pos, p vec) {
	if out := c.room.outside(p); out > slack {
		c.faults.Add(pos, c.extent(), "%s is %.2f m outside the room", what, out)
	}
	for _, in := range c.room.inside(p) {
		c.faults.Add(pos, "", "%s is inside %s", what, in)
	}
}

// path checks a way; points outside the room are dropped, since they would be lit by
// nothing and make a dark path of a slip.
func (c *checking) path(e *source.Entry[Path]) {
	p := &e.Value
	c.name(e.Name, e.Pos)
	if len(p.Points) < 2 {
		c.faults.Add(p.Pos, "", "path %q has %d points, and needs at least two", e.Name, len(p.Points))
	}
	if len(p.Points) > mostEach {
		c.faults.Add(p.Pos, "", "path %q has more than %d points", e.Name, mostEach)
		p.Points = p.Points[:mostEach]
	}
	inside := p.Points[:0]
	for _, point := range p.Points {
		c.standing("a point of path "+e.Name, p.Pos, point.vec())
		if c.room.outside(point.vec()) <= slack {
			inside = append(inside, point)
		}
	}
	p.Points = inside
	if p.Width < 0 || p.Width > longest {
		c.faults.Add(p.Pos, "", "the width %v of path %q lies outside 0 to %v m", p.Width, e.Name, longest)
		p.Width = 0
	}
}

// marks checks that every mark is in the room and free.
func (c *checking) marks() {
	r := c.room
	for i := range r.Marks {
		m := &r.Marks[i]
		c.standing("mark "+m.Name, m.Pos, m.Value.vec())
	}
}

// carried checks that what is carried is carried by somebody.
func (c *checking) carried() {
	var people []string
	for i := range c.room.People {
		people = append(people, c.room.People[i].Name)
	}
	for i := range c.room.Objects {
		o := &c.room.Objects[i]
		if by := &o.Value.Carried; by.Name != "" && !slices.Contains(people, by.Name) {
			c.faults.Add(by.Pos, source.OneOf(by.Name, people), "%s is carried by %q, and there is no such performer", o.Name, by.Name)
			by.Name = ""
		}
	}
}
