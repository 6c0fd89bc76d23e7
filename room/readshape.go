package room

import (
	"math"

	"lampblack/si"
	"lampblack/source"
)

// mostCorners is how many corners an outline may have.
const mostCorners = 200

// outline checks what of its rectangle a thing fills. A bad outline is dropped: the thing is then a
// rectangle.
func (c *checking) outline(kind, name string, pos source.Pos, shape Shape, outline *[]Spot2, w, h si.Length) {
	o := *outline
	if o == nil {
		return
	}
	bad := func(hint, text string, args ...any) {
		c.faults.Add(pos, hint, "the outline of %s %q "+text, append([]any{kind, name}, args...)...)
		*outline = nil
	}
	switch {
	case shape != "":
		bad("leave one of them out", "stands beside a shape")
		return
	case len(o) < 3 || len(o) > mostCorners:
		bad("", "has %d corners, and needs 3 to %d", len(o), mostCorners)
		return
	}
	for i, p := range o {
		if !(p[0] >= -slack && p[0] <= w+slack && p[1] >= -slack && p[1] <= h+slack) {
			bad("corners are metres across from its left edge and up from its lower one, as seen from the front",
				"has corner %d at %v, %v, outside its %v by %v", i+1, p[0], p[1], w, h)
			return
		}
	}
	f := flatten(o)
	if i, j, crosses := crossing(rawFlat(o)); crosses {
		n := len(o)
		bad("list the corners in turn, once round", "crosses itself: its side from corner %d to %d meets that from %d to %d", i+1, (i+1)%n+1, j+1, (j+1)%n+1)
		return
	}
	if twiceArea(f) < 2e-6 {
		bad("", "has no area")
	}
}

// rawFlat is an outline in the order of the file.
func rawFlat(o []Spot2) []inPlane {
	var out []inPlane
	for _, p := range o {
		out = append(out, inPlane{float64(p[0]), float64(p[1])})
	}
	return out
}

// pillar checks an upright round post, of grey paint when it says nothing.
func (c *checking) pillar(e *source.Entry[Pillar]) {
	p := &e.Value
	c.name(e.Name, e.Pos)
	c.knownMaterial(&p.Material, DefaultWall, e.Pos)
	for _, side := range []*si.Length{&p.Across, &p.Height} {
		if !(*side >= .001 && *side <= longest) {
			c.faults.Add(p.Pos, "", "the size %v of pillar %q lies outside 1 mm to %v m", *side, e.Name, longest)
			*side = .1
		}
	}
	out, foot, r := 0.0, p.Foot.vec(), float64(p.Across)/2
	for _, z := range []float64{0, float64(p.Height)} {
		for _, d := range []vec{{r, 0, z}, {-r, 0, z}, {0, r, z}, {0, -r, z}} {
			out = math.Max(out, c.room.outside(foot.plus(d)))
		}
	}
	if out > slack {
		c.faults.Add(p.Pos, c.extent(), "pillar %q reaches %s into a wall, the floor or the ceiling", e.Name, si.Say(out, "m"))
	}
}
