package plate

import (
	"math"

	"lampblack/room"
)

// cuts is how many heights stand for a body's outline in its shadow.
const cuts = 24

// shade is what a body takes from the light: its outline turned to each lamp, and from above its shoulders.
func (p *somebody) shade() *room.Shade {
	trunk := standingHalf
	if p.sitting {
		trunk = sittingHalf
	}
	body, head := silhouetteOf(p.outline(trunk)), silhouetteOf(p.outline(headHalf))
	var profile [][2]float64
	wide := 0.
	for i := range cuts + 1 {
		up := max(body.low, 0) + (head.high-max(body.low, 0))*float64(i)/cuts
		half := max(body.half(up), head.half(up))
		wide = max(wide, half)
		profile = append(profile, [2]float64{up, half})
	}
	const deep, shoulder = .7, .84 // what a body is from front to back, of its width; of the height of the eyes
	return room.Upright(room.Point{p.at[0], p.at[1], lengthOf(p.foot)}, profile, wide*deep, shoulder*(float64(p.at[2])-p.foot))
}

// half is half of an outline's width at a height; 0 above and below it.
func (s *silhouette) half(y float64) (out float64) {
	if y < s.low || y > s.high {
		return 0
	}
	for _, x := range s.rows[min(int((y-s.low)/(s.high-s.low)*silhouetteRows), silhouetteRows-1)] {
		out = math.Max(out, math.Abs(x))
	}
	return out
}
