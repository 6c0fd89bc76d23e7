package si

import "math"

// Apart is how far two places are from one another, straight.
func Apart(a, b [3]Length) Length {
	return Length(math.Hypot(math.Hypot(float64(a[0]-b[0]), float64(a[1]-b[1])), float64(a[2]-b[2])))
}
