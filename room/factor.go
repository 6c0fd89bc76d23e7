package room

import "math"

// pointFactor is the view factor from a small plane at p that faces n to a
// convex polygon with these corners: the share of the light that leaves p (or of a uniform sky that
// arrives) that goes to it. Closed form for a polygon after Lambert (1760), as
// in Siegel and Howell, Thermal Radiation Heat Transfer, "contour
// integration": F = 1/2π · Σ angle(r_i, r_i+1) · n · unit(r_i × r_i+1), with
// the part of the polygon below the plane cut off. It does not ask which
// side of the polygon p sees.
func pointFactor(p, n vec, of []vec) float64 {
	var memory [12]vec // enough for nearly all pieces
	corners := memory[:0]
	below := 0
	for _, c := range of {
		d := c.minus(p)
		corners = append(corners, d)
		if d.dot(n) <= 0 {
			below++
		}
	}
	switch below {
	case len(of):
		return 0
	case 0:
		return polygonFactor(n, corners)
	}
	var cut [14]vec
	kept := cut[:0]
	for i, a := range corners {
		b := corners[(i+1)%len(corners)]
		ha, hb := a.dot(n), b.dot(n)
		if ha > 0 {
			kept = append(kept, a)
		}
		if ha > 0 != (hb > 0) {
			kept = append(kept, a.plus(b.minus(a).times(ha/(ha-hb))))
		}
	}
	return polygonFactor(n, kept)
}

// polygonFactor sums over the edges of a polygon that lies above the plane; corners are
// seen from the point. The order of the corners only changes the sign. An edge that runs
// straight away from the point spans no angle.
func polygonFactor(n vec, corners []vec) float64 {
	sum := 0.0
	for i := range corners {
		a, b := corners[i], corners[(i+1)%len(corners)]
		c := a.cross(b)
		l := c.length()
		if l < 1e-300 {
			continue
		}
		sum += math.Atan2(l, a.dot(b)) * c.dot(n) / l
	}
	return math.Abs(sum) / (2 * math.Pi)
}
