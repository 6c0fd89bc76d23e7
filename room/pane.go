package room

import "math"

// pane is a flat convex thing that hides what is behind it: a sheet, from both sides, or a
// face of a box, from its front.
type pane struct {
	outline  []vec // against the clock for who sees the front
	n        vec
	off      float64 // of its plane from the origin, along n
	oneSided bool
	thing    int // as of panels
	ball
}

// ball holds a flat thing: no ray that misses it meets the thing.
type ball struct {
	middle vec
	radius float64
}

// paneOf is a flat convex outline made ready to be asked often.
func paneOf(n vec, oneSided bool, outline ...vec) pane {
	return pane{outline: outline, n: n, off: outline[0].dot(n), oneSided: oneSided, ball: ballOf(outline)}
}

// ballOf is the ball about the mean of the points.
func ballOf(points []vec) (b ball) {
	for _, p := range points {
		b.middle = b.middle.plus(p.times(1 / float64(len(points))))
	}
	for _, p := range points {
		b.radius = math.Max(b.radius, p.minus(b.middle).length())
	}
	return b
}

// cone holds all directions from a point to a ball; of a point inside it, all there are.
type cone struct {
	toward   vec
	cos, sin float64 // of half its angle
}

// cone is that of the ball as seen from p.
func (b *ball) cone(p vec) cone {
	d := b.middle.minus(p)
	far := d.length()
	if far <= b.radius*(1+1e-9) {
		return cone{cos: -1}
	}
	sin := b.radius / far
	return cone{d.times(1 / far), math.Sqrt(1 - sin*sin), sin}
}

// apart tells whether two cones have no direction in common: the angle between their middles
// is beyond the sum of both halves, which lie below 90° each.
func (c *cone) apart(d *cone) bool {
	if c.cos < 0 || d.cos < 0 {
		return false
	}
	return c.toward.dot(d.toward) < c.cos*d.cos-c.sin*d.sin
}

// distance is that from p to the nearest point of the pane.
func (q *pane) distance(p vec) float64 {
	h := p.dot(q.n) - q.off
	if math.Abs(h) > beside { // far enough for whoever asks
		return math.Abs(h)
	}
	if foot := p.minus(q.n.times(h)); q.holds(foot) {
		return math.Abs(h)
	}
	least := math.Inf(1)
	for k, a := range q.outline {
		least = math.Min(least, toSegment(p, a, q.outline[(k+1)%len(q.outline)]))
	}
	return least
}

// edgeOn is how near to its plane, in m, a pane is seen edge-on and hides nothing.
const edgeOn = 1e-6

// plane divides space; inside is where m·x > c.
type plane struct {
	m vec
	c float64
}

// shade is what a pane hides from a point: what lies inside all planes, which are those
// through the point and the pane's edges and the pane's own.
type shade struct {
	planes []plane
	cone
}

// watcher sees the room from one point. It knows what hides things there, and has memory to
// cut outlines with; one worker owns it.
type watcher struct {
	at     vec
	shades []shade
	planes []plane // of all shades
	cut    clipper
}

// from moves the watcher to p.
func (w *watcher) from(p vec, panes []pane) {
	w.at, w.shades, w.planes = p, w.shades[:0], w.planes[:0]
	for i := range panes {
		w.add(&panes[i])
	}
}

// to moves the watcher to p, where only some panes matter.
func (w *watcher) to(p vec, panes []*pane) {
	w.at, w.shades, w.planes = p, w.shades[:0], w.planes[:0]
	for _, q := range panes {
		w.add(q)
	}
}

// add adds the shade of a pane, unless it is seen edge-on or from a side that it has not.
func (w *watcher) add(q *pane) {
	h := w.at.dot(q.n) - q.off
	if math.Abs(h) < edgeOn || q.oneSided && h < 0 {
		return
	}
	sign := math.Copysign(1, h)
	first := len(w.planes)
	w.planes = append(w.planes, plane{q.n.times(-sign), -sign * q.off})
	for k, a := range q.outline {
		b := q.outline[(k+1)%len(q.outline)]
		m := b.minus(w.at).cross(a.minus(w.at)).times(sign)
		l := m.length()
		if l < 1e-12 {
			continue
		}
		m = m.times(1 / l)
		w.planes = append(w.planes, plane{m, m.dot(w.at)})
	}
	w.shades = append(w.shades, shade{w.planes[first:], q.cone(w.at)})
}

// visible cuts away what is hidden of a convex outline that a cone holds. whole tells that
// nothing is; else the pieces are what is left, valid until the next call.
func (w *watcher) visible(outline []vec, c *cone) (pieces [][]vec, whole bool) {
	whole = true
	for i := range w.shades {
		s := &w.shades[i]
		if s.cone.apart(c) {
			continue
		}
		if whole {
			w.cut.begin(outline)
		}
		if w.cut.subtract(s.planes) {
			whole = false
		}
		if !whole && len(w.cut.pieces) == 0 {
			return nil, false
		}
	}
	return w.cut.pieces, whole
}
