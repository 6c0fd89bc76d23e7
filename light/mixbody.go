package light

import "math"

// face is a direction in which the body of all mixes ends: no mix goes beyond
// normal·c = reach. The body is a sum of segments (a zonotope), so its faces
// are normal to pairs of emitters; or, within a plane, to single ones.
type face struct {
	normal [3]float64
	reach  float64
}

// limit is how many times c fits into the body.
func limit(faces []face, c [3]float64) float64 {
	most := math.Inf(1)
	size := dot(&c, &c)
	for i := range faces {
		f := &faces[i]
		// A face that c lies in, to rounding, is no limit to it.
		if d := dot(&f.normal, &c); d > 0 && d*d > 1e-18*dot(&f.normal, &f.normal)*size {
			most = min(most, f.reach/d)
		}
	}
	return most
}

// flat is the sine below which directions count as one.
const flat = 1e-8

// facesOf returns the faces of the body of mixes, both ways round. A face's reach is
// found by switching on just those emitters that lead its way. When all colours lie in one
// plane, as those of two emitters do, its faces are the lines along single emitters; when in
// one direction, the two ends of it.
func facesOf(columns [][3]float64) []face {
	var normals [][3]float64
	for i := range columns {
		for j := range i {
			n := cross(&columns[i], &columns[j])
			if dot(&n, &n) > flat*flat*dot(&columns[i], &columns[i])*dot(&columns[j], &columns[j]) {
				normals = append(normals, n)
			}
		}
	}
	if len(normals) == 0 {
		normals = append(normals, longest(columns))
	} else if plane, ok := common(normals, columns); ok {
		normals = normals[:0]
		for i := range columns {
			if dot(&columns[i], &columns[i]) > 0 {
				normals = append(normals, cross(&plane, &columns[i]))
			}
		}
	}
	var faces []face
	for _, n := range normals {
		plus, minus := face{normal: n}, face{normal: [3]float64{-n[0], -n[1], -n[2]}}
		for k := range columns {
			plus.reach += max(0, dot(&plus.normal, &columns[k]))
			minus.reach += max(0, dot(&minus.normal, &columns[k]))
		}
		faces = append(faces, plus, minus)
	}
	return faces
}

// longest is the first of the longest.
func longest(vectors [][3]float64) [3]float64 {
	best := vectors[0]
	for _, v := range vectors {
		if dot(&v, &v) > dot(&best, &best) {
			best = v
		}
	}
	return best
}

// common reports whether all columns lie in one plane, and its normal.
func common(normals, columns [][3]float64) (plane [3]float64, ok bool) {
	plane = longest(normals)
	for _, c := range columns {
		d := dot(&plane, &c)
		if d*d > flat*flat*dot(&plane, &plane)*dot(&c, &c) {
			return plane, false
		}
	}
	return plane, true
}
