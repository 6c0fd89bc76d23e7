package room

import "math"

// What comes, goes and moves, and people, stand in nobody's light in a transport. In a picture their shadows are looked for
// point by point, in the direct light of each lamp alone:
//
//	Transport.Shade(name), Upright(…)  ──▶ *Shade    what stands in the light
//	Transport.Shadow(shade)            ──▶ *Shadow   ready to be asked, cell by cell
//	Shadow.Hides(cell, point)          the share of the lens that is hidden there
//
// A lens counts as round: from a point its image on a thing's plane has a radius r, and an edge that runs at a distance s
// inside the middle of the image leaves (1 - s/r)/2 of it. What several edges leave is added up, which is exact for a straight edge
// of a square lens and for a strip, and too dark by a quarter of the lens at the tip of a right angle.
//
// What they take from the light that surfaces reflect is left out, and so is that they shade one another.

// Shade is something that stands in the light of a picture.
type Shade struct {
	flat     []*Panel
	profile  [][2]float64 // of what is upright: height over the foot and half of the width there, from below
	foot     vec
	spreads  float64 // what is upright, seen from above: half of its width
	shoulder float64 // and how high
	ball
}

// Shade is a thing that moves, where it is; nil for what does not.
func (t *Transport) Shade(name string) *Shade {
	s := &Shade{}
	var all []vec
	for i := range t.Panels {
		if p := &t.Panels[i]; p.Name == name && p.loose && !p.Back {
			s.flat = append(s.flat, p)
			all = append(all, (&shaped{sheet: p.sheet, outline: p.outline}).edge()...)
		}
	}
	if s.flat == nil {
		return nil
	}
	s.ball = ballOf(all)
	return s
}

// Upright is something upright over a foot that looks alike from all sides, as people nearly do: half of its width at rising
// heights, and as wide as spreads to each side of the middle at the height of the shoulder, for lamps above.
func Upright(foot Point, profile [][2]float64, spreads, shoulder float64) *Shade {
	s := &Shade{profile: profile, foot: foot.vec(), spreads: spreads, shoulder: shoulder}
	wide, tall := spreads, shoulder
	for _, p := range profile {
		wide, tall = math.Max(wide, p[1]), math.Max(tall, p[0])
	}
	s.ball = ball{s.foot.plus(vec{0, 0, tall / 2}), math.Hypot(wide, tall/2)}
	return s
}

// Shadow is a shade in the light of all lamps.
type Shadow struct {
	shade *Shade
	cells []castBy // those of all units in turn
}

// castBy is the shadow by one cell of a lamp: within a cone, and behind the plane of what casts it.
type castBy struct {
	from, toward   vec
	radius         float64 // of the lens, as a square has it: half of its side
	far, tan, half float64 // half: the cosine of half the cone's angle; 0 for all around
	n, u, v        vec     // of the plane
	origin         vec
	there          float64        // of the lens, before the plane
	pieces         [][][3]float64 // lines about each: a, b, c with a·x + b·y > c inside
}

// Shadow makes a shade ready to be asked of.
func (t *Transport) Shadow(s *Shade) *Shadow {
	out := &Shadow{shade: s}
	for i := range t.sources.lamps {
		l := &t.sources.lamps[i]
		for _, from := range l.cells {
			out.cells = append(out.cells, s.castBy(l, from))
		}
	}
	return out
}

func (s *Shade) castBy(l *lamp, from vec) castBy {
	d := s.middle.minus(from)
	c := castBy{from: from, far: d.length() - s.radius - l.radius, toward: d.unit(), radius: max(l.radius, leastLens) / math.Sqrt2}
	if c.far > 0 {
		sin := (s.radius + l.radius) / d.length()
		c.half = math.Sqrt(1 - sin*sin)
		c.tan = sin / c.half
	}
	if s.flat == nil {
		c.n, c.origin = from.minus(s.foot), s.foot
		if c.n[2] = 0; c.n.length() < 1e-6 {
			c.n = vec{0, -1, 0}
		}
		c.n = c.n.unit()
		c.u, c.v = vec{-c.n[1], c.n[0], 0}, vec{0, 0, 1}
	} else {
		p := s.flat[0]
		c.n, c.u, c.v, c.origin = p.n, p.u, p.v, p.corner
		for _, p := range s.flat {
			c.pieces = append(c.pieces, c.lines((&shaped{sheet: p.sheet, outline: p.outline}).edge(), p.n))
		}
	}
	c.there = from.minus(c.origin).dot(c.n)
	return c
}

// lines are those about an outline, in the plane.
func (c *castBy) lines(outline []vec, n vec) (out [][3]float64) {
	for _, side := range sides(outline, n) {
		out = append(out, [3]float64{side.m.dot(c.u), side.m.dot(c.v), side.c - side.m.dot(c.origin)})
	}
	return out
}

// Reaches tells whether the shadow by a cell may reach a ball.
func (s *Shadow) Reaches(cell int32, at Point, radius float64) bool {
	c := &s.cells[cell]
	if c.half == 0 {
		return true
	}
	x, y, z := float64(at[0])-c.from[0], float64(at[1])-c.from[1], float64(at[2])-c.from[2]
	along := x*c.toward[0] + y*c.toward[1] + z*c.toward[2]
	if along+radius < c.far*c.half {
		return false
	}
	side := along*c.tan + radius/c.half
	return side > 0 && x*x+y*y+z*z-along*along <= side*side
}

// Hides is the share of a cell's lens that is hidden from a point.
func (s *Shadow) Hides(cell int32, at Point) float32 {
	if !s.Reaches(cell, at, 0) {
		return 0
	}
	c := &s.cells[cell]
	p := vec{float64(at[0]) - c.origin[0], float64(at[1]) - c.origin[1], float64(at[2]) - c.origin[2]}
	d := vec{c.from[0] - float64(at[0]), c.from[1] - float64(at[1]), c.from[2] - float64(at[2])}
	hidden := 0.
	if s.shade.flat == nil {
		hidden = s.fromAbove(c, p, d)
	}
	here := p.dot(c.n)
	if here*c.there >= 0 || hidden >= 1 {
		return float32(min(hidden, 1)) // not between
	}
	share := here / (here - c.there)
	x, y := p.dot(c.u)+share*d.dot(c.u), p.dot(c.v)+share*d.dot(c.v)
	r := c.radius * share * math.Sqrt(d.dot(d)) / math.Abs(here-c.there) // a slanted plane is cut wider
	if s.shade.flat == nil {
		return float32(max(hidden, min(1, within(s.shade.inProfile(x, y), r))))
	}
	for _, lines := range c.pieces {
		left := 1.
		for _, l := range lines {
			if left -= 1 - within(l[0]*x+l[1]*y-l[2], r); left <= 0 {
				break
			}
		}
		hidden += max(left, 0)
	}
	return float32(min(hidden, 1))
}

// within is how much of a round image of radius r lies inside an edge that is as far as this from its middle.
func within(s, r float64) float64 { return min(max(.5+s/(2*r), 0), 1) }

// fromAbove is what the shoulders hide of a lens. p is the point from the foot, d the way to the lens.
func (s *Shadow) fromAbove(c *castBy, p, d vec) float64 {
	here, there := p[2]-s.shade.shoulder, p[2]+d[2]-s.shade.shoulder
	if here*there >= 0 {
		return 0
	}
	share := here / (here - there)
	r := c.radius * share * math.Sqrt(d.dot(d)) / math.Abs(here-there)
	return within(s.shade.spreads-math.Hypot(p[0]+share*d[0], p[1]+share*d[1]), r)
}

// inProfile is how far inside the outline of what is upright a point is: below 0 outside.
func (s *Shade) inProfile(x, y float64) float64 {
	last := len(s.profile) - 1
	inside := min(y-s.profile[0][0], s.profile[last][0]-y)
	for i := 1; i <= last; i++ {
		if a, b := s.profile[i-1], s.profile[i]; y < b[0] || i == last {
			f := min(max((y-a[0])/(b[0]-a[0]), 0), 1)
			return min(inside, a[1]+f*(b[1]-a[1])-math.Abs(x))
		}
	}
	return inside
}
