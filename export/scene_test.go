package export

import (
	"math"
	"testing"

	"lampblack/rig"
	"lampblack/si"
)

// A unit hung before the stage and aimed at the audience, away from y: whoever
// looks into it from the audience has cell 1, at the negative end of the first
// axis, to the left, which is negative x. Light leaves against the third axis
// (DIN SPEC 15800). The axes are right-handed and of length one.
func TestAimed(t *testing.T) {
	u := &rig.Unit{At: [3]si.Length{0, 5, 3}, Aim: [3]si.Length{0, -5, 3}}
	m := aimed(u)
	if m.W != [3]float64{0, 1, 0} || m.U[0] < .999 || m.O != [3]float64{0, 5000, 3000} {
		t.Errorf("axes %+v", m)
	}
	for _, aim := range [][3]si.Length{{1, 2, 0}, {0, 5, 0}, {-3, 4, 9}} {
		for _, turn := range []si.Angle{0, 1, math.Pi / 2} {
			u.Aim, u.Turn = aim, turn
			m := aimed(u)
			if d := cross(m.U, m.V); math.Abs(d[0]-m.W[0])+math.Abs(d[1]-m.W[1])+math.Abs(d[2]-m.W[2]) > 1e-8 {
				t.Errorf("aimed at %v, turned %v: axes %+v are not right-handed", aim, turn, m)
			}
			if n := math.Hypot(math.Hypot(m.U[0], m.U[1]), m.U[2]); math.Abs(n-1) > 1e-8 {
				t.Errorf("aimed at %v: first axis of length %v", aim, n)
			}
		}
	}
}
