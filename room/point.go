package room

import (
	"math"

	"lampblack/si"
)

// Point is a place or direction in metres: x right, y away from the audience,
// z up, from the middle of the stage's front edge.
type Point [3]si.Length

// vec is a Point for arithmetic.
type vec [3]float64

func (p Point) vec() vec { return vec{float64(p[0]), float64(p[1]), float64(p[2])} }

func (a vec) point() Point { return Point{si.Length(a[0]), si.Length(a[1]), si.Length(a[2])} }

func (a vec) plus(b vec) vec { return vec{a[0] + b[0], a[1] + b[1], a[2] + b[2]} }

func (a vec) minus(b vec) vec { return vec{a[0] - b[0], a[1] - b[1], a[2] - b[2]} }

func (a vec) times(f float64) vec { return vec{a[0] * f, a[1] * f, a[2] * f} }

func (a vec) dot(b vec) float64 { return a[0]*b[0] + a[1]*b[1] + a[2]*b[2] }

func (a vec) cross(b vec) vec {
	return vec{a[1]*b[2] - a[2]*b[1], a[2]*b[0] - a[0]*b[2], a[0]*b[1] - a[1]*b[0]}
}

func (a vec) length() float64 { return math.Sqrt(a.dot(a)) }

// unit returns a at length 1; the zero vector stays zero.
func (a vec) unit() vec {
	if l := a.length(); l > 0 {
		return a.times(1 / l)
	}
	return a
}

// levelAcross returns the level direction that lies to the right of somebody
// who looks against n, and x for n straight up or down.
func levelAcross(n vec) vec {
	u := vec{-n[1], n[0], 0}
	if u.length() < 1e-9 {
		return vec{1, 0, 0}
	}
	return u.unit()
}
