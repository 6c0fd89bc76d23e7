package room

import "math"

// What comes, goes and moves, and people, stand in nobody's light in a transport. In a picture their shadows are looked for
// point by point, in the direct light of each lamp alone:
//
//	Transport.Shade(name), Upright(…)  ──▶ *Shade    what stands in the light
//	Pointer.Shadow(shade)              ──▶ *Shadow   ready to be asked, cell by cell
//	Shadow.Hides(cell, point)          the share of the lens that is hidden there
//
// What they take from the light that surfaces reflect is left out, and so is that they shade one another.

// Shade is something that stands in the light of a picture.
type Shade struct {
	flat     []pane
	upright  [][][2]float64 // convex pieces across and up from foot, in a plane that is turned to each lamp
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
		p := &t.Panels[i]
		if p.Name != name || !p.loose || p.Back {
			continue
		}
		edge := (&shaped{sheet: p.sheet, outline: p.outline}).edge()
		s.flat = append(s.flat, paneOf(p.n, false, edge...))
		all = append(all, edge...)
	}
	if s.flat == nil {
		return nil
	}
	s.ball = ballOf(all)
	return s
}

// Upright is something upright over a foot that looks alike from all sides, as people nearly do: convex pieces, each as
// points across and up, and as wide as spreads to each side of the middle at the height of the shoulder, for lamps above.
func Upright(foot Point, pieces [][][2]float64, spreads, shoulder float64) *Shade {
	s := &Shade{upright: pieces, foot: foot.vec(), spreads: spreads, shoulder: shoulder}
	wide, tall := spreads, shoulder
	for _, piece := range pieces {
		for _, v := range piece {
			wide, tall = math.Max(wide, math.Abs(v[0])), math.Max(tall, v[1])
		}
	}
	s.ball = ball{s.foot.plus(vec{0, 0, tall / 2}), math.Hypot(wide, tall/2)}
	return s
}

// panes are the shade's as a lamp sees it.
func (s *Shade) panes(from vec) []pane {
	if s.upright == nil {
		return s.flat
	}
	n := from.minus(s.foot)
	if n[2] = 0; n.length() < 1e-6 {
		n = vec{0, -1, 0}
	}
	n = n.unit()
	u := vec{-n[1], n[0], 0}
	var out []pane
	for _, piece := range s.upright {
		var edge []vec
		for _, v := range piece {
			edge = append(edge, s.foot.plus(u.times(v[0])).plus(vec{0, 0, v[1]}))
		}
		front := n
		if edge[1].minus(edge[0]).cross(edge[2].minus(edge[0])).dot(n) < 0 {
			front = n.times(-1)
		}
		out = append(out, paneOf(front, false, edge...))
	}
	const corners = 8
	var top []vec
	for i := range corners {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / corners)
		top = append(top, s.foot.plus(vec{s.spreads * cos, s.spreads * sin, s.shoulder}))
	}
	return append(out, paneOf(vec{0, 0, 1}, false, top...))
}

// Shadow is a shade in the light of all lamps. One worker has it.
type Shadow struct {
	g     lighting
	cells []castBy // by cell, those of all units in turn
}

// castBy is the shadow by one cell: within a cone, and behind.
type castBy struct {
	l              *lamp
	from, toward   vec
	far, tan, half float64 // half: the cosine of half its angle; 0 for all around
	panes          []pane
	sides          [][]plane // of each pane, in its plane
}

// Shadow makes a shade ready to be asked of.
func (p *Pointer) Shadow(s *Shade) *Shadow {
	out := &Shadow{g: lighting{sources: p.t.sources, shell: p.t.shell}}
	for i := range p.t.sources.lamps {
		l := &p.t.sources.lamps[i]
		for _, from := range l.cells {
			out.cells = append(out.cells, s.castBy(l, from))
		}
	}
	return out
}

func (s *Shade) castBy(l *lamp, from vec) castBy {
	d := s.middle.minus(from)
	c := castBy{l: l, from: from, far: d.length() - s.radius - l.radius, toward: d.unit()}
	if c.far > 0 {
		sin := (s.radius + l.radius) / d.length()
		c.half = math.Sqrt(1 - sin*sin)
		c.tan = sin / c.half
	}
	c.panes = s.panes(from)
	for i := range c.panes {
		c.sides = append(c.sides, sides(c.panes[i].outline, c.panes[i].n))
	}
	return c
}

// Reaches tells whether the shadow by a cell may reach a ball.
func (s *Shadow) Reaches(cell int32, at Point, radius float64) bool {
	c := &s.cells[cell]
	if c.half == 0 {
		return true
	}
	d := vec{float64(at[0]) - c.from[0], float64(at[1]) - c.from[1], float64(at[2]) - c.from[2]}
	along := d[0]*c.toward[0] + d[1]*c.toward[1] + d[2]*c.toward[2]
	if along+radius < c.far*c.half {
		return false
	}
	side := along*c.tan + radius/c.half
	return side > 0 && d.dot(d)-along*along <= side*side
}

// Hides is the share of a cell's lens that is hidden from a point.
func (s *Shadow) Hides(cell int32, at Point) float32 {
	c := &s.cells[cell]
	p := at.vec()
	s.g.between = s.g.between[:0]
	d := c.from.minus(p)
	far := d.length()
	for i := range c.panes {
		q := &c.panes[i]
		there, here := c.from.dot(q.n)-q.off, p.dot(q.n)-q.off
		if there*here >= 0 {
			continue // not between
		}
		share := here / (here - there)
		hit := p.plus(d.times(share))
		margin := c.l.radius * share * far / math.Abs(here-there) // a slanted plane is cut wider
		inside := math.Inf(1)
		for _, side := range c.sides[i] {
			inside = min(inside, hit.dot(side.m)-side.c)
		}
		switch {
		case inside > margin:
			return 1
		case inside > -margin:
			s.g.between = append(s.g.between, q)
		}
	}
	if len(s.g.between) == 0 {
		return 0
	}
	return float32(1 - s.g.seen(c.l, c.from, p))
}
