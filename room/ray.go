package room

import "math"

// Look is what an eye meets in one direction.
type Look struct {
	Panel    int     // index in Panels
	X, Y     float64 // where, as shares of the panel's width and height
	Distance float64 // m
}

// Trace returns what a ray from a point meets first; ok is false when it meets
// nothing, which in a closed room is so only from outside.
func (t *Transport) Trace(from Point, direction Point) (l Look, ok bool) {
	return t.TracePast(from, direction, nil)
}

// TracePast is Trace past what is absent, by panel; nil for nothing. The light of what is behind
// is that of the room with all in it.
func (t *Transport) TracePast(from Point, direction Point, absent []bool) (l Look, ok bool) {
	p, d := from.vec(), direction.vec().unit()
	l.Distance = math.Inf(1)
	for i := range t.Panels {
		if absent == nil || !absent[i] {
			t.Panels[i].meets(&l, i, p, d)
		}
	}
	return l, !math.IsInf(l.Distance, 1)
}

// TraceAmong is Trace where it is known that only some panels can be met, by index.
func (t *Transport) TraceAmong(from Point, direction Point, panels []int) (l Look, ok bool) {
	p, d := from.vec(), direction.vec().unit()
	l.Distance = math.Inf(1)
	for _, i := range panels {
		t.Panels[i].meets(&l, i, p, d)
	}
	return l, !math.IsInf(l.Distance, 1)
}

// meets puts the panel into l when a ray meets it before what is there. Panels are seen from
// their front alone: what lies behind has a panel of its own.
func (q *Panel) meets(l *Look, index int, p, d vec) {
	s := &q.sheet
	slope := d.dot(s.n)
	if slope >= 0 || q.strip.away {
		return
	}
	far := s.corner.minus(p).dot(s.n) / slope
	if far <= skin || far >= l.Distance {
		return
	}
	hit := p.plus(d.times(far))
	x, y, _ := s.local(hit)
	if x < 0 || y < 0 || x > s.w || y > s.h || !q.fills(hit) {
		return
	}
	*l = Look{index, x / s.w, y / s.h, far}
}

// fills tells whether a point of the panel's rectangle is in its outline.
func (p *Panel) fills(at vec) bool {
	for i, a := range p.outline {
		if p.n.cross(p.outline[(i+1)%len(p.outline)].minus(a)).dot(at.minus(a)) < -1e-9 {
			return false
		}
	}
	return true
}

// Between returns the four patches around a point of a panel with the weights
// of bilinear interpolation. Patches that are wholly under something weigh
// nothing.
func (t *Transport) Between(l Look) (places [4]int, weights [4]float64) {
	p := &t.Panels[l.Panel]
	c0, c1, x := nearTo(l.X, p.Cols)
	r0, r1, y := nearTo(l.Y, p.Rows)
	places = [4]int{p.First + r0*p.Cols + c0, p.First + r0*p.Cols + c1, p.First + r1*p.Cols + c0, p.First + r1*p.Cols + c1}
	weights = [4]float64{(1 - x) * (1 - y), x * (1 - y), (1 - x) * y, x * y}
	total := 0.0
	for i, place := range places {
		if t.Places[place].Area == 0 {
			weights[i] = 0
		}
		total += weights[i]
	}
	for i := range weights {
		if total > 0 {
			weights[i] /= total
		}
	}
	return places, weights
}

// nearTo returns the two of n cells whose middles lie around a share, and how
// far it is from the first to the second. Beyond the outer middles both ends stay level.
func nearTo(share float64, n int) (a, b int, between float64) {
	x := min(max(share*float64(n)-.5, 0), float64(n-1))
	a = min(int(x), n-1)
	return a, min(a+1, n-1), x - float64(a)
}
