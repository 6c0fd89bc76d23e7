package room

import "math"

// pointFactor is the view factor from a small plane at p that faces n to a
// rectangle with these corners: the share of the light that leaves p (or of a uniform sky that
// arrives) that goes to it. Closed form for a polygon after Lambert (1760), as
// in Siegel and Howell, Thermal Radiation Heat Transfer, "contour
// integration": F = 1/2π · Σ angle(r_i, r_i+1) · n · unit(r_i × r_i+1), with
// the part of the rectangle below the plane cut off. It does not ask which
// side of the rectangle p sees.
func pointFactor(p, n vec, of *[4]vec) float64 {
	var corners [4]vec
	var heights [4]float64
	below := 0
	for i, c := range of {
		corners[i] = c.minus(p)
		heights[i] = corners[i].dot(n)
		if heights[i] <= 0 {
			below++
		}
	}
	switch below {
	case 4:
		return 0
	case 0:
		return polygonFactor(n, corners[:])
	}
	var cut [6]vec
	kept := cut[:0]
	for i := range corners {
		j := (i + 1) & 3
		if heights[i] > 0 {
			kept = append(kept, corners[i])
		}
		if heights[i] > 0 != (heights[j] > 0) {
			t := heights[i] / (heights[i] - heights[j])
			kept = append(kept, corners[i].plus(corners[j].minus(corners[i]).times(t)))
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
