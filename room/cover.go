package room

import "math"

// cover is what some thing hides of a panel that it lies on or stands around: what is inside
// all planes.
type cover []plane

// covers lists what covers a panel: boxes that it goes through, the room's faces where it
// reaches beyond them, and things that lie on it. In one plane the rank
// decides, so that of two things on each other one is seen and not both or neither.
func (s *shell) covers(p *Panel) []cover {
	var out []cover
	if p.loose {
		return p.unfilled(out)
	}
	for i := range s.boxes {
		out = append(out, s.boxes[i].over(p.n))
	}
	for axis := range 3 {
		var e vec
		e[axis] = 1
		before := 2 * slack * p.n[axis]
		out = append(out, cover{{e, s.high[axis] - before}}, cover{{e.times(-1), before - s.low[axis]}})
	}
	for j := range s.panels {
		q := &s.panels[j]
		if q.loose || q.strip.number > 0 || q.thing == p.thing || q.n.dot(p.n) > -.999 {
			continue
		}
		_, _, gap := q.local(p.at(.5, .5))
		if gap >= -1e-6 && gap <= flush && (gap > 1e-6 || q.rank > p.rank) {
			out = append(out, q.prism())
		}
	}
	return p.reached(p.unfilled(out))
}

// unfilled adds what the panel does not fill of its rectangle.
func (p *Panel) unfilled(out []cover) []cover {
	for _, side := range sides(p.outline, p.n) {
		out = append(out, cover{{side.m.times(-1), -side.c}})
	}
	return out
}

// reached leaves out what does not reach the panel.
func (p *Panel) reached(covers []cover) []cover {
	out := covers[:0]
	for _, c := range covers {
		if p.within(c) {
			out = append(out, c)
		}
	}
	return out
}

// within tells whether the sheet may reach into a cover: none of its planes parts them.
func (s *sheet) within(c cover) bool {
	corners := s.corners()
	for _, q := range c {
		if !reaches(corners[:], q) {
			return false
		}
	}
	return true
}

// over is the box as it covers a panel of normal n: a panel lies in it when a point a little
// before it does.
func (b *block) over(n vec) cover {
	var out cover
	for axis := range 3 {
		var e vec
		e[axis] = 1
		in := 0.0
		if math.Abs(n[axis]) > 1e-3 {
			in = slack
		}
		before := 2 * slack * n[axis]
		out = append(out, plane{e, b.low[axis] + in - before}, plane{e.times(-1), -(b.high[axis] - in - before)})
	}
	return out
}

// prism is all that lies straight before or behind what the panel fills.
func (p *Panel) prism() cover {
	if p.outline != nil {
		return sides(p.outline, p.n)
	}
	return p.sheet.prism()
}

// prism is the same for the whole rectangle.
func (s *sheet) prism() cover {
	x, y := s.corner.dot(s.u), s.corner.dot(s.v)
	return cover{{s.u, x}, {s.u.times(-1), -x - s.w}, {s.v, y}, {s.v.times(-1), -y - s.h}}
}

// leastBare is the share of a patch below which nothing of it counts as bare.
const leastBare = .002

// uncovered returns how much of a patch is not under something, in m2, and a point of it: the
// middle, or that of the largest piece.
func (p *Panel) uncovered(patch *sheet, cut *clipper) (area float64, at vec, partly bool) {
	corners := patch.corners()
	cut.begin(corners[:])
	for _, c := range p.covered {
		if cut.subtract(c) {
			partly = true
		}
	}
	if !partly {
		return patch.area(), patch.at(.5, .5), false
	}
	most := 0.0
	for _, piece := range cut.pieces {
		a, middle := extent(piece)
		area += a
		if a > most {
			most, at = a, middle
		}
	}
	if area < leastBare*patch.area() {
		return 0, at, true
	}
	return area, at, area < (1-leastBare)*patch.area()
}

// extent is the area of a convex outline, and its middle.
func extent(outline []vec) (area float64, middle vec) {
	a := outline[0]
	for i := 1; i+1 < len(outline); i++ {
		b, c := outline[i], outline[i+1]
		part := b.minus(a).cross(c.minus(a)).length() / 2
		area += part
		middle = middle.plus(a.plus(b).plus(c).times(part / 3))
	}
	if area > 0 {
		middle = middle.times(1 / area)
	}
	return area, middle
}
