package room

import (
	"math"

	"lampblack/si"
)

// Spot2 is a point of a flat thing, as who looks at its front sees it: across from the left edge,
// and up from the lower one, in metres.
type Spot2 [2]si.Length

// Shape says what of its rectangle a surface or object fills.
type Shape string

// Shapes of flat things. Without one they are rectangles, or what their outline says.
const ShapeDisc Shape = "disc"

// Choices lists the shapes.
func (Shape) Choices() []string { return []string{string(ShapeDisc)} }

// discCorners is how many a disc is drawn with: of the same area as the circle, its edge is within
// 0.3 % of the radius.
const discCorners = 32

// inPlane is a point in the plane of a thing, m.
type inPlane [2]float64

// disc is an ellipse that fills a rectangle.
func disc(w, h float64) []inPlane {
	// A regular polygon of n corners has the circle's area at sqrt(2π/(n sin 2π/n)) of its radius.
	r := math.Sqrt(2*math.Pi/discCorners/math.Sin(2*math.Pi/discCorners)) / 2
	var out []inPlane
	for i := range discCorners {
		a := 2 * math.Pi * (float64(i) + .5) / discCorners
		out = append(out, inPlane{w * (.5 + r*math.Cos(a)), h * (.5 + r*math.Sin(a))})
	}
	return out
}

// turn is twice the area of the triangle a, b, c: above 0 when it goes against the clock.
func turn(a, b, c inPlane) float64 {
	return (b[0]-a[0])*(c[1]-a[1]) - (b[1]-a[1])*(c[0]-a[0])
}

// twiceArea is that of an outline, below 0 when it goes with the clock.
func twiceArea(outline []inPlane) float64 {
	sum := 0.0
	for i := range outline {
		sum += turn(inPlane{}, outline[i], outline[(i+1)%len(outline)])
	}
	return sum
}

// convex cuts an outline that goes against the clock and does not cross itself into convex parts:
// itself, or what can be joined of triangles, each cut off at a corner that has no other corner in it (G. H. Meisters,
// Polygons have ears, American Mathematical Monthly 82, 1975, from memory).
func convex(outline []inPlane) [][]inPlane {
	rest := append([]inPlane(nil), outline...)
	var out [][]inPlane
	for len(rest) > 3 && !allConvex(rest) {
		ear := 0
		for i := range rest {
			if isEar(rest, i) {
				ear = i
				break
			}
		}
		n := len(rest)
		out = append(out, []inPlane{rest[(ear+n-1)%n], rest[ear], rest[(ear+1)%n]})
		rest = append(rest[:ear:ear], rest[ear+1:]...)
	}
	out = append(out, rest)
	kept := out[:0]
	for _, part := range out {
		if twiceArea(part) > 1e-9 {
			kept = append(kept, part)
		}
	}
	return merged(kept)
}

// merged joins convex parts along sides that they share, as long as what comes of it is convex
// (S. Hertel and K. Mehlhorn, Fast triangulation of simple polygons, 1983, from memory): at most
// four times as many parts are left as there need be.
func merged(parts [][]inPlane) [][]inPlane {
	for i := 0; i < len(parts); i++ {
		for j := i + 1; j < len(parts); j++ {
			if one := joined(parts[i], parts[j]); one != nil {
				parts[i] = one
				parts = append(parts[:j:j], parts[j+1:]...)
				j = i
			}
		}
	}
	return parts
}

// joined is both parts as one when they share a side and that is convex; else nil.
func joined(a, b []inPlane) []inPlane {
	for i := range a {
		for j := range b {
			if a[i] != b[(j+1)%len(b)] || a[(i+1)%len(a)] != b[j] {
				continue
			}
			out := append([]inPlane(nil), a[:i+1]...)
			for k := 2; k < len(b); k++ {
				out = append(out, b[(j+k)%len(b)])
			}
			out = append(out, a[i+1:]...)
			if allConvex(out) {
				return out
			}
			return nil
		}
	}
	return nil
}

func allConvex(outline []inPlane) bool {
	n := len(outline)
	for i := range outline {
		if turn(outline[i], outline[(i+1)%n], outline[(i+2)%n]) < -1e-12 {
			return false
		}
	}
	return true
}

// isEar tells whether the triangle at corner i lies in the outline.
func isEar(outline []inPlane, i int) bool {
	n := len(outline)
	a, b, c := outline[(i+n-1)%n], outline[i], outline[(i+1)%n]
	if turn(a, b, c) <= 1e-12 {
		return false
	}
	for k, p := range outline {
		if k == i || k == (i+1)%n || k == (i+n-1)%n {
			continue
		}
		if turn(a, b, p) > -1e-12 && turn(b, c, p) > -1e-12 && turn(c, a, p) > -1e-12 {
			return false
		}
	}
	return true
}

// crossing returns two sides of an outline that cross or touch though they are no neighbours.
func crossing(outline []inPlane) (i, j int, ok bool) {
	n := len(outline)
	for i := range n {
		for j := i + 2; j < n; j++ {
			if i == 0 && j == n-1 {
				continue
			}
			if cross(outline[i], outline[i+1], outline[j], outline[(j+1)%n]) {
				return i, j, true
			}
		}
	}
	return 0, 0, false
}

// cross tells whether two lines between points meet.
func cross(a, b, c, d inPlane) bool {
	u, v := turn(a, b, c), turn(a, b, d)
	x, y := turn(c, d, a), turn(c, d, b)
	if u == 0 && v == 0 {
		return min(a[0], b[0]) <= max(c[0], d[0]) && min(c[0], d[0]) <= max(a[0], b[0]) &&
			min(a[1], b[1]) <= max(c[1], d[1]) && min(c[1], d[1]) <= max(a[1], b[1])
	}
	return u*v <= 0 && x*y <= 0
}

// flatten is a written outline, against the clock.
func flatten(outline []Spot2) []inPlane {
	var out []inPlane
	for _, p := range outline {
		out = append(out, inPlane{float64(p[0]), float64(p[1])})
	}
	if twiceArea(out) < 0 {
		for i, j := 0, len(out)-1; i < j; i, j = i+1, j-1 {
			out[i], out[j] = out[j], out[i]
		}
	}
	return out
}

// shapeOf is what a thing fills of a rectangle of this size, in convex parts; nil for all of it.
func shapeOf(shape Shape, outline []Spot2, w, h float64) [][]inPlane {
	switch {
	case len(outline) > 0:
		return convex(flatten(outline))
	case shape == ShapeDisc:
		return [][]inPlane{disc(w, h)}
	}
	return nil
}

// shaped is a sheet of which a convex outline, against the clock for who sees the front, is
// filled; without one all of it.
type shaped struct {
	sheet
	outline []vec
}

// parts are a sheet's convex parts, each in the smallest rectangle along its edges.
func (s *sheet) parts(shape [][]inPlane) []shaped {
	if shape == nil {
		return []shaped{{sheet: *s}}
	}
	var out []shaped
	for _, part := range shape {
		low, high := part[0], part[0]
		var corners []vec
		for _, p := range part {
			low, high = inPlane{min(low[0], p[0]), min(low[1], p[1])}, inPlane{max(high[0], p[0]), max(high[1], p[1])}
			corners = append(corners, s.corner.plus(s.u.times(p[0])).plus(s.v.times(p[1])))
		}
		q := *s
		q.corner = s.corner.plus(s.u.times(low[0])).plus(s.v.times(low[1]))
		q.w, q.h = high[0]-low[0], high[1]-low[1]
		out = append(out, shaped{q, corners})
	}
	return out
}

// flipped is the other side.
func (s *shaped) flipped() shaped {
	out := shaped{sheet: s.sheet.flipped()}
	for i := range s.outline {
		out.outline = append(out.outline, s.outline[len(s.outline)-1-i])
	}
	return out
}

// corners are those of the outline, or of the rectangle.
func (s *shaped) edge() []vec {
	if s.outline != nil {
		return s.outline
	}
	c := s.corners()
	return c[:]
}

// sides are the planes through the edges of a convex outline at right angles to its face:
// what is straight before or behind the outline is inside all.
func sides(outline []vec, n vec) cover {
	var out cover
	for i, a := range outline {
		m := n.cross(outline[(i+1)%len(outline)].minus(a)).unit()
		if m.length() > 0 {
			out = append(out, plane{m, m.dot(a)})
		}
	}
	return out
}

// trimmed is what of a convex outline lies inside all planes; nil when nothing does.
func trimmed(outline []vec, planes cover) []vec {
	var c clipper
	for _, p := range planes {
		if outline, _ = c.split(outline, p); len(outline) < 3 {
			return nil
		}
	}
	return outline
}
