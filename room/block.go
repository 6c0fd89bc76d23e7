package room

import "math"

// blockers is everything that can stand between two points.
type blockers struct {
	sheets []screen
	boxes  []block
}

// screen is a sheet made ready to be asked often.
type screen struct {
	sheet
	off       float64 // of its plane from the origin, along n
	low, high vec     // bounds
}

type block struct{ low, high vec }

// add adds a sheet, with what is asked of it again and again computed once.
func (b *blockers) add(s sheet) {
	c := s.corners()
	low, high := bound(c[:]...)
	b.sheets = append(b.sheets, screen{s, s.corner.dot(s.n), low, high})
}

// corners are the ends of the box's diagonal; boxes stand along the room's axes.
func (b *Box) corners() (low, high vec) {
	c, s := b.Centre.vec(), b.Size.vec()
	return c.minus(s.times(.5)), c.plus(s.times(.5))
}

// holds tells whether p is inside the box, not only on its face.
func (b *Box) holds(p vec) bool {
	low, high := b.corners()
	return (&block{low, high}).holds(p)
}

// holds leaves out a skin of slack, so that things that only touch the box stand outside.
func (b *block) holds(p vec) bool {
	for i := range p {
		if p[i] <= b.low[i]+slack || p[i] >= b.high[i]-slack {
			return false
		}
	}
	return true
}

// skin, 1 mm, is how close to an end of a ray a hit does not count: the thing that
// the ray begins or ends on.
const skin = .001

// clear tells whether nothing stands between p and q. A room has so few things in it
// that all are asked; a tree of bounds would cost more than it saves.
func (b *blockers) clear(p, q vec) bool {
	d := q.minus(p)
	l := d.length()
	if l < 2*skin {
		return true
	}
	near, far := skin/l, 1-skin/l
	for i := range b.sheets {
		if b.sheets[i].cuts(p, d, near, far) {
			return false
		}
	}
	for i := range b.boxes {
		if b.boxes[i].cuts(p, d, near, far) {
			return false
		}
	}
	return true
}

// cuts tells whether the ray p + t d meets the sheet for t between near and far: where it
// passes the sheet's plane, and whether that lies between its edges. Sheets are thin
// and block from both sides.
func (s *screen) cuts(p, d vec, near, far float64) bool {
	slope := d.dot(s.n)
	if slope == 0 {
		return false
	}
	t := (s.off - p.dot(s.n)) / slope
	if t <= near || t >= far {
		return false
	}
	hit := vec{p[0] + t*d[0] - s.corner[0], p[1] + t*d[1] - s.corner[1], p[2] + t*d[2] - s.corner[2]}
	x := hit.dot(s.u)
	if x < 0 || x > s.w {
		return false
	}
	y := hit.dot(s.v)
	return y >= 0 && y <= s.h
}

// cuts is the slab test: the ray is inside the box where it is inside all
// three pairs of planes, from the last entry to the first way out.
func (b *block) cuts(p, d vec, near, far float64) bool {
	in, out := near, far
	for i := range p {
		if d[i] == 0 {
			if p[i] <= b.low[i] || p[i] >= b.high[i] {
				return false
			}
			continue
		}
		t0, t1 := (b.low[i]-p[i])/d[i], (b.high[i]-p[i])/d[i]
		if t0 > t1 {
			t0, t1 = t1, t0
		}
		in, out = math.Max(in, t0), math.Min(out, t1)
		if in >= out {
			return false
		}
	}
	return true
}

// within returns those blockers that reach into the box from low to high: only they
// can stand between two points of it. dst is memory to be used again.
func (b *blockers) within(low, high vec, dst *blockers) *blockers {
	dst.sheets, dst.boxes = dst.sheets[:0], dst.boxes[:0]
	for i := range b.sheets {
		if overlap(b.sheets[i].low, b.sheets[i].high, low, high) {
			dst.sheets = append(dst.sheets, b.sheets[i])
		}
	}
	for i := range b.boxes {
		if overlap(b.boxes[i].low, b.boxes[i].high, low, high) {
			dst.boxes = append(dst.boxes, b.boxes[i])
		}
	}
	return dst
}

func (b *blockers) empty() bool { return len(b.sheets) == 0 && len(b.boxes) == 0 }

// overlap tells whether two boxes along the axes have a point in common.
func overlap(l1, h1, l2, h2 vec) bool {
	for i := range l1 {
		if l1[i] > h2[i] || l2[i] > h1[i] {
			return false
		}
	}
	return true
}

// bound is the smallest box along the axes that holds the points.
func bound(points ...vec) (low, high vec) {
	low, high = points[0], points[0]
	for _, p := range points[1:] {
		for i := range p {
			low[i], high[i] = math.Min(low[i], p[i]), math.Max(high[i], p[i])
		}
	}
	return low, high
}
