package plate

import (
	"math"
	"slices"

	"lampblack/room"
)

// Heights, of that of the eyes, at which a body is cut into pieces for its shadow.
var (
	standingCuts = []float64{0, .3, .5, .74, .84, .885, .925}
	sittingCuts  = []float64{0, .3, .46, .8, .89, .925}
)

// shade is what a body takes from the light: its outline turned to each lamp, and from above its shoulders.
func (p *somebody) shade() *room.Shade {
	trunk, cuts := standingHalf, standingCuts
	if p.sitting {
		trunk, cuts = sittingHalf, sittingCuts
	}
	tall := float64(p.at[2]) - p.foot
	body := silhouetteOf(p.outline(trunk))
	var pieces [][][2]float64
	wide := 0.
	for i := range len(cuts) - 1 {
		low, high := tall*cuts[i], tall*cuts[i+1]
		a, b := body.half(low+.01*tall), body.half(high-.01*tall)
		wide = max(wide, a, b)
		pieces = append(pieces, [][2]float64{{-a, low}, {a, low}, {b, high}, {-b, high}})
	}
	head := p.outline(headHalf)
	var round [][2]float64
	for i := 0; i < len(head); i += max(1, len(head)/12) {
		round = append(round, head[i])
	}
	const deep = .7 // what a body is from front to back, of its width
	return room.Upright(room.Point{p.at[0], p.at[1], lengthOf(p.foot)}, append(pieces, hull(round)), wide*deep, .84*tall)
}

// half is half of an outline's width at a height.
func (s *silhouette) half(y float64) float64 {
	i := int((y - s.low) / (s.high - s.low) * silhouetteRows)
	out := .02
	for _, x := range s.rows[min(max(i, 0), silhouetteRows-1)] {
		out = math.Max(out, math.Abs(x))
	}
	return out
}

// hull is the convex outline about points, against the clock (A. M. Andrew, Another efficient algorithm for convex hulls
// in two dimensions, 1979, from memory).
func hull(points [][2]float64) [][2]float64 {
	slices.SortFunc(points, func(a, b [2]float64) int {
		if a[0] < b[0] || a[0] == b[0] && a[1] < b[1] {
			return -1
		}
		return 1
	})
	half := func(each func(yield func([2]float64))) (out [][2]float64) {
		each(func(p [2]float64) {
			for len(out) >= 2 {
				a, b := out[len(out)-2], out[len(out)-1]
				if (b[0]-a[0])*(p[1]-a[1])-(b[1]-a[1])*(p[0]-a[0]) > 0 {
					break
				}
				out = out[:len(out)-1]
			}
			out = append(out, p)
		})
		return out[:len(out)-1]
	}
	low := half(func(yield func([2]float64)) {
		for _, p := range points {
			yield(p)
		}
	})
	return append(low, half(func(yield func([2]float64)) {
		for i := len(points) - 1; i >= 0; i-- {
			yield(points[i])
		}
	})...)
}
