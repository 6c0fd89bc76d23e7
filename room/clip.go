package room

import "math"

// clipper takes convex shapes out of convex outlines, exactly. Its memory is used again.
type clipper struct {
	pieces, next [][]vec
	points       []vec // of all pieces
	sides        []float64
	crossing     []plane
}

// grazing is how far, in m, from a plane counts as on it.
const grazing = 1e-9

// mostPieces bounds what one outline is cut into: beyond it what is hidden
// is no longer taken away, which only a crowd of hundreds of things comes to.
const mostPieces = 256

// begin starts with one outline.
func (c *clipper) begin(outline []vec) {
	c.points = c.points[:0]
	c.pieces = append(c.pieces[:0], outline)
}

// reaches tells whether some of the outline is inside the plane.
func reaches(outline []vec, p plane) bool {
	for _, v := range outline {
		if v.dot(p.m)-p.c > grazing {
			return true
		}
	}
	return false
}

// subtract takes what is inside all planes out of all pieces, and tells whether there was any.
func (c *clipper) subtract(planes []plane) bool {
	if len(c.pieces) > mostPieces {
		return false
	}
	c.next = c.next[:0]
	any := false
	for _, piece := range c.pieces {
		if c.without(piece, planes) {
			any = true
		}
	}
	c.pieces, c.next = c.next, c.pieces
	return any
}

// without adds to next what of the piece is outside any of the planes, cut along those that
// cross it. A piece that is outside as a whole stays whole.
func (c *clipper) without(piece []vec, planes []plane) bool {
	c.crossing = c.crossing[:0]
	for _, p := range planes {
		least, most := p.span(piece)
		if most <= grazing {
			c.next = append(c.next, piece)
			return false
		}
		if least < -grazing {
			c.crossing = append(c.crossing, p)
		}
	}
	kept, rest := len(c.next), piece
	for _, p := range c.crossing {
		inside, outside := c.split(rest, p)
		if len(inside) < 3 {
			c.next = append(c.next[:kept], piece)
			return false
		}
		if len(outside) >= 3 {
			c.next = append(c.next, outside)
		}
		rest = inside
	}
	return true
}

// span is from how far outside to how far inside the plane the outline goes.
func (p *plane) span(outline []vec) (least, most float64) {
	least, most = math.Inf(1), math.Inf(-1)
	for _, v := range outline {
		d := v[0]*p.m[0] + v[1]*p.m[1] + v[2]*p.m[2] - p.c
		if d < least {
			least = d
		}
		if d > most {
			most = d
		}
	}
	return least, most
}

// split cuts an outline along a plane. What only grazes it counts as inside.
func (c *clipper) split(outline []vec, p plane) (inside, outside []vec) {
	c.sides = c.sides[:0]
	in, out := false, false
	for _, v := range outline {
		d := v.dot(p.m) - p.c
		c.sides = append(c.sides, d)
		in, out = in || d > grazing, out || d < -grazing
	}
	if !out {
		return outline, nil
	}
	if !in {
		return nil, outline
	}
	return c.part(outline, 1), c.part(outline, -1)
}

// below is what of an outline lies no higher, seen from q, than a direction whose rise is sin: edges
// are cut where the height over it changes sign, on the straight line between, which is exact
// but for the bend of the border within one patch.
func (c *clipper) below(outline []vec, q vec, sin float64) []vec {
	c.sides = c.sides[:0]
	in, out := false, false
	for _, v := range outline {
		d := v.minus(q)
		h := sin*d.length() - d[2]
		c.sides = append(c.sides, h)
		in, out = in || h > grazing, out || h < -grazing
	}
	if !out {
		return outline
	}
	if !in {
		return nil
	}
	return c.part(outline, 1)
}

// part is what of an outline lies on one side, by the distances in sides.
func (c *clipper) part(outline []vec, sign float64) []vec {
	first := len(c.points)
	for i, v := range outline {
		j := (i + 1) % len(outline)
		a, b := sign*c.sides[i], sign*c.sides[j]
		if a >= -grazing {
			c.points = append(c.points, v)
		}
		if a > grazing && b < -grazing || a < -grazing && b > grazing {
			c.points = append(c.points, v.plus(outline[j].minus(v).times(a/(a-b))))
		}
	}
	return c.points[first:len(c.points):len(c.points)]
}
