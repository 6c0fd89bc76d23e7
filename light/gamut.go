package light

import (
	"cmp"
	"math"
	"slices"
)

// Gamut is the set of chromaticities that mixing can reach: a convex polygon
// in u'v', counter-clockwise; two corners are a line, one is a point, none is
// nothing.
type Gamut []UV

// same is how near two chromaticities count as one when asked whether a target
// is in reach: a 500th of what an eye can tell apart. Outlines are kept finer:
// red, amber and deep red lie on a line but for 1e-5, and yet span a gamut.
const (
	same  = 2e-6
	grain = 1e-10
)

// GamutOf returns the convex hull of chromaticities.
func GamutOf(points []UV) Gamut {
	sorted := slices.Clone(points)
	slices.SortFunc(sorted, func(a, b UV) int {
		return cmp.Or(cmp.Compare(a.U, b.U), cmp.Compare(a.V, b.V))
	})
	sorted = slices.CompactFunc(sorted, func(a, b UV) bool { return a.Distance(b) < grain })
	if len(sorted) < 3 {
		return sorted
	}
	lower := halfHull(nil, sorted)
	slices.Reverse(sorted)
	upper := halfHull(nil, sorted)
	return append(lower[:len(lower)-1], upper[:len(upper)-1]...)
}

// halfHull is the lower side of the hull of points in order from left to right (or, of
// points from right to left, the upper): whatever does not turn left is dropped (A. M. Andrew's
// monotone chain, 1979, from memory).
func halfHull(hull Gamut, points []UV) Gamut {
	for _, p := range points {
		for len(hull) >= 2 && offLine(hull[len(hull)-2], hull[len(hull)-1], p) < grain {
			hull = hull[:len(hull)-1]
		}
		hull = append(hull, p)
	}
	return hull
}

// offLine is the distance of p to the left of the line from a to b.
func offLine(a, b, p UV) float64 {
	du, dv := b.U-a.U, b.V-a.V
	length := math.Hypot(du, dv)
	if length == 0 {
		return 0
	}
	return (du*(p.V-a.V) - dv*(p.U-a.U)) / length
}

// Contains reports whether c can be reached, edges included.
func (g Gamut) Contains(c UV) bool {
	return g.closest(c).Distance(c) <= same
}

// inside reports whether c lies in the polygon proper.
func (g Gamut) inside(c UV) bool {
	for i, a := range g {
		if offLine(a, g[(i+1)%len(g)], c) < 0 {
			return false
		}
	}
	return len(g) >= 3
}

// closest is the reachable point nearest to c in u'v'; of an empty gamut, a
// point at infinity.
func (g Gamut) closest(c UV) UV {
	switch {
	case len(g) == 0:
		return UV{math.Inf(1), 0}
	case g.inside(c):
		return c
	}
	return g.at(g.foot(c), UV{})
}

// foot is the place on the outline nearest to c in u'v'.
func (g Gamut) foot(c UV) place {
	var best place
	least := math.Inf(1)
	for i, a := range g {
		b := g[(i+1)%len(g)]
		du, dv := b.U-a.U, b.V-a.V
		p := place{edge: i}
		if square := du*du + dv*dv; square > 0 {
			p.share = min(1, max(0, ((c.U-a.U)*du+(c.V-a.V)*dv)/square))
		}
		if d := g.at(p, UV{}).Distance(c); d < least {
			best, least = p, d
		}
	}
	return best
}

// Nearest returns c itself if it can be reached (or the point of the outline
// that c lies on to rounding), otherwise the reachable chromaticity that looks
// nearest at a luminance, and how far off it looks: its CIEDE2000 from c, both
// of luminance y under the D65 white of luminance white. An empty gamut
// returns +Inf.
//
// CIEDE2000 was made for small differences, and what it says of large ones is
// good to a third or so (its STRESS on the data that it was fitted to is 27 %;
// from memory). It all but stops counting chroma where there is much of it: by
// it alone an orange of one wavelength became one far paler. So of all that is
// as near as the nearest by that measure, give or take, the nearest in u'v' is
// taken.
//
// Where two places are equally near, a moving c changes from one to the other
// at once.
func (g Gamut) Nearest(c UV, y, white float64) (UV, float64) {
	foot := g.closest(c)
	if foot.Distance(c) <= same || len(g) == 0 {
		miss := 0.0
		if len(g) == 0 {
			miss = math.Inf(1)
		}
		return foot, miss
	}
	miss := func(p UV) float64 { return apart(p, c, y, white) }
	best, least := g.least(c, miss)
	as := asNear(least)
	// On the straight way to the nearest in u'v' that distance only falls.
	low, high := 0.0, 1.0
	on := func(share float64) UV {
		return UV{best.U + share*(foot.U-best.U), best.V + share*(foot.V-best.V)}
	}
	if miss(foot) <= as {
		low = 1
	}
	for low < 1 && high-low > 1e-4 {
		if middle := (low + high) / 2; miss(on(middle)) <= as {
			low = middle
		} else {
			high = middle
		}
	}
	return on(low), miss(on(low))
}

// apart is the CIEDE2000 of two chromaticities of luminance y, where D65 of
// luminance white is white.
func apart(p, c UV, y, white float64) float64 {
	d65 := WhiteD65.XYZ(white)
	return DeltaE2000(p.XY().XYZ(y).Lab(d65), c.XY().XYZ(y).Lab(d65))
}

// asNear is the CIEDE2000 that counts as no more than another.
func asNear(least float64) float64 { return 1.3*least + .5 }

// place is a chromaticity by an edge, the share along it, and the depth from
// there to the middle of the gamut.
type place struct {
	edge         int
	share, depth float64
}

// at is the chromaticity of a place.
func (g Gamut) at(p place, middle UV) UV {
	a, b := g[p.edge], g[(p.edge+1)%len(g)]
	u, v := a.U+p.share*(b.U-a.U), a.V+p.share*(b.V-a.V)
	return UV{u + p.depth*(middle.U-u), v + p.depth*(middle.V-v)}
}

// middle is the mean of the corners, which lies inside.
func (g Gamut) middle() UV {
	var m UV
	for _, c := range g {
		m.U += c.U / float64(len(g))
		m.V += c.V / float64(len(g))
	}
	return m
}

// least finds the reachable chromaticity that misses by the least: from the
// point of the outline nearest to c, and from the best of samples over the
// whole gamut, as the minimum is mostly, but not always, on the outline.
func (g Gamut) least(c UV, miss func(UV) float64) (UV, float64) {
	const along = 8
	middle := g.middle()
	foot := g.foot(c)
	best, least := foot, miss(g.at(foot, middle))
	for edge := range g {
		for i := range along {
			for _, depth := range [4]float64{0, .25, .5, .75} {
				p := place{edge, float64(i) / along, depth}
				if d := miss(g.at(p, middle)); d < least {
					best, least = p, d
				}
			}
		}
	}
	first, d1 := g.narrow(foot, middle, miss)
	if best == foot {
		return first, d1
	}
	second, d2 := g.narrow(best, middle, miss)
	if d2 < d1 {
		return second, d2
	}
	return first, d1
}

// narrow improves a place by golden sections along its edge, in depth, and in
// the direction that the two together have led to (Powell's way).
func (g Gamut) narrow(p place, middle UV, miss func(UV) float64) (UV, float64) {
	reach := .125
	for range 3 {
		start := p
		p = g.line(p, place{share: reach}, middle, miss)
		p = g.line(p, place{depth: 2 * reach}, middle, miss)
		p = g.line(p, place{share: p.share - start.share, depth: p.depth - start.depth}, middle, miss)
		reach /= 2
	}
	c := g.at(p, middle)
	return c, miss(c)
}

// line searches up to twice as far as step, both ways, and stays if nothing is
// better.
func (g Gamut) line(p, step place, middle UV, miss func(UV) float64) place {
	to := func(k float64) place {
		return place{p.edge, min(1, max(0, p.share+k*step.share)), min(1, max(0, p.depth+k*step.depth))}
	}
	at := func(k float64) float64 { return miss(g.at(to(k), middle)) }
	if k := goldenMinimum(at, -2, 2, 14); at(k) < at(0) {
		return to(k)
	}
	return p
}

// Intersect returns what both gamuts can reach: g clipped by each side of h. A line is
// clipped to a strip along it and at its ends, a point by four lines about it.
func (g Gamut) Intersect(h Gamut) Gamut {
	if len(g) == 0 || len(h) == 0 {
		return nil
	}
	points := []UV(g)
	for i, a := range h {
		b := h[(i+1)%len(h)]
		if len(h) == 1 {
			b = UV{a.U + 1, a.V}
		}
		points = clip(points, a, b)
		if len(h) <= 2 { // the ends of a line, both sides of a point
			points = clip(points, a, UV{a.U + (b.V - a.V), a.V - (b.U - a.U)})
		}
		if len(h) == 1 {
			points = clip(points, b, a)
			points = clip(points, a, UV{a.U, a.V + 1})
		}
	}
	return GamutOf(points)
}

// clip keeps the part of a convex polygon to the left of a line from a to b
// (Sutherland and Hodgman).
func clip(points []UV, a, b UV) []UV {
	var kept []UV
	for i, p := range points {
		q := points[(i+1)%len(points)]
		dp, dq := offLine(a, b, p)+same, offLine(a, b, q)+same
		if dp >= 0 {
			kept = append(kept, p)
		}
		if (dp > 0 && dq < 0) || (dp < 0 && dq > 0) {
			share := dp / (dp - dq)
			kept = append(kept, UV{p.U + share*(q.U-p.U), p.V + share*(q.V-p.V)})
		}
	}
	return kept
}
