package room

import "math"

// blocked tells whether one pane hides a place from a whole cell, and lists those
// that may hide some of it: of a box, all faces.
func (g *lighting) blocked(l *lamp, cell int, rec *receiver) bool {
	g.between = g.between[:0]
	place := ball{rec.at, rec.reach}
	c := place.cone(l.cells[cell])
	var memory [1]vec
	outline := append(memory[:0], rec.at)
	if rec.panel >= 0 {
		outline = rec.edge
	}
	thing := -1
	for i := range l.shades[cell] {
		s := &l.shades[cell][i]
		if thing >= 0 && s.of.thing == thing || s.wide.apart(&c) {
			continue
		}
		none, all := s.hides(outline, l.radius, rec.at.minus(l.cells[cell]).length()+rec.reach)
		if all {
			return true
		}
		if none {
			continue
		}
		if !s.of.oneSided {
			g.between = append(g.between, s.of)
			continue
		}
		thing = s.of.thing
		for k := range g.shell.panes {
			if g.shell.panes[k].thing == thing {
				g.between = append(g.between, &g.shell.panes[k])
			}
		}
	}
	return false
}

// lensShade is what a pane hides from a lens: planes are those of the lens's middle.
type lensShade struct {
	shade
	of   *pane
	wide cone      // holds the pane as any point of the lens sees it
	near []float64 // by plane: how near its edge comes to the lens's middle
}

// shadesOf lists what may hide things from each cell of a lamp.
func (sh *shell) shadesOf(l *lamp) {
	l.radius = math.Hypot(l.along, l.across) / 2
	l.shades = make([][]lensShade, len(l.cells))
	for c, from := range l.cells {
		for i := range sh.panes {
			q := &sh.panes[i]
			var w watcher
			w.to(from, []*pane{q})
			if len(w.shades) == 0 {
				if q.oneSided || math.Abs(from.dot(q.n)-q.off) > l.radius {
					continue
				}
				// In the plane of a sheet: other points of the lens lie beside it.
				w.to(from.plus(q.n.times(2*edgeOn)), []*pane{q})
			}
			s := lensShade{shade: w.shades[0], of: q, wide: (&ball{q.middle, q.radius + l.radius}).cone(from)}
			s.near = append(s.near, 0)
			for k, a := range q.outline {
				s.near = append(s.near, toSegment(from, a, q.outline[(k+1)%len(q.outline)]))
			}
			if len(s.near) != len(s.planes) {
				s.near = make([]float64, len(s.planes)) // an edge runs through the lens: it is never sure
			}
			l.shades[c] = append(l.shades[c], s)
		}
	}
}

// toSegment is the distance from p to the nearest point between a and b.
func toSegment(p, a, b vec) float64 {
	d := b.minus(a)
	t := min(1, max(0, p.minus(a).dot(d)/d.dot(d)))
	return p.minus(a.plus(d.times(t))).length()
}

// hides tells whether a pane hides none or all of an outline from all points of a lens of
// some radius, when the outline is as far away as this at the most. A shadow's edge moves by
// the lens's radius, times the distance behind the pane over that before it.
func (s *lensShade) hides(outline []vec, radius, far float64) (none, all bool) {
	all = true
	for k, p := range s.planes {
		margin := radius
		if k > 0 {
			margin = radius * max(0, far/max(s.near[k], 1e-6)-1)
		}
		least, most := math.Inf(1), math.Inf(-1)
		for _, v := range outline {
			d := v.dot(p.m) - p.c
			least, most = min(least, d), max(most, d)
		}
		if k == 0 && most <= grazing || k > 0 && most < -margin {
			return true, false
		}
		all = all && (k == 0 && least > 0 || k > 0 && least > margin)
	}
	return false, all
}

// shadows is into how many parts a side of a cell is cut at the least where
// something stands between: a lens is an area, and what is thinner than it dims it
// and does not hide it.
func shadows(side float64) int {
	switch {
	case side > .12:
		return 3
	case side > 0:
		return 2
	}
	return 1
}

// past adds the mean over a patch of what comes past things: from each part of the cell what
// it sees of the patch, cut out exactly.
func (g *lighting) past(dst []float64, l *lamp, from vec, rec *receiver, d float64) {
	along, across := l.split(from, rec.at, d)
	along, across = max(along, shadows(l.along)), max(across, shadows(l.across))
	b := ballOf(rec.edge)
	w := &g.w
	l.parts(from, along, across, func(q vec, share float64) {
		w.to(q, g.between)
		c := b.cone(q)
		pieces, whole := w.visible(rec.edge, &c)
		if whole && !rec.cut && !l.masks(q, rec) {
			share *= rec.patch.area() / rec.area / 4
			for k := range 4 {
				l.intensity(dst, q, rec.patch.at(gauss[2].at[k&1], gauss[2].at[k>>1]), rec.n, share)
			}
			return
		}
		if whole {
			w.cut.begin(rec.edge)
			pieces = w.cut.pieces
		}
		for _, piece := range pieces {
			if piece = w.cut.below(piece, q, l.sinMask); len(piece) >= 3 {
				l.toPiece(dst, q, rec.n, share/rec.area, piece)
			}
		}
	})
}

// masks tells whether the border of the unit's mask, seen from q, runs over a patch or close by it.
func (l *lamp) masks(q vec, rec *receiver) bool {
	if l.sinMask >= 1 {
		return false
	}
	d := rec.at.minus(q)
	return math.Abs(d[2]-l.sinMask*d.length()) < 2*(rec.reach+l.radius)
}

// toPiece adds the light on a convex piece of a patch, triangle by triangle; weight is by area.
func (l *lamp) toPiece(dst []float64, q, n vec, weight float64, piece []vec) {
	a := piece[0]
	for i := 1; i+1 < len(piece); i++ {
		b, c := piece[i], piece[i+1]
		area := b.minus(a).cross(c.minus(a)).length() / 2
		l.intensity(dst, q, a.plus(b).plus(c).times(1./3), n, weight*area)
	}
}

// seen is the share of a cell's opening that p sees past things.
func (g *lighting) seen(l *lamp, from, p vec) float64 {
	a, b := l.row.times(max(l.along, leastLens)/2), l.axis.cross(l.row).times(max(l.across, leastLens)/2)
	corners := []vec{from.minus(a).minus(b), from.plus(a).minus(b), from.plus(a).plus(b), from.minus(a).plus(b)}
	w := &g.w
	w.to(p, g.between)
	lens := ballOf(corners)
	c := lens.cone(p)
	pieces, whole := w.visible(corners, &c)
	if whole {
		return 1
	}
	area := 0.0
	for _, piece := range pieces {
		one, _ := extent(piece)
		area += one
	}
	return area / (4 * a.length() * b.length())
}

// opening is the share of a cell's opening that a point sees.
func (g *lighting) opening(l *lamp, cell int, rec *receiver) float64 {
	if g.blocked(l, cell, rec) {
		return 0
	}
	if len(g.between) == 0 {
		return 1
	}
	return g.seen(l, l.cells[cell], rec.at)
}

// leastLens, in m, is a lens of no size.
const leastLens = .001
