package described

import (
	"math"

	"lampblack/rig"
	"lampblack/room"
	"lampblack/si"
	"lampblack/wire/mvr"
)

// How far from a lamp a point is that it is aimed at, where the scene says a direction alone and it
// does not meet the floor before.
const away = 5.

// aim is the focus point, or a point in the direction in which light leaves: against the third axis.
func (h *hanger) aim(u *hungUnit, f *mvr.Fixture) {
	for _, l := range h.scene.Layers {
		for _, p := range l.FocusPoints {
			if p.UUID == f.Focus && f.Focus != (mvr.UUID{}) {
				u.aim = &[3]float64{p.Matrix.O[0] / 1000, p.Matrix.O[1] / 1000, p.Matrix.O[2] / 1000}
			}
		}
	}
	w := f.Matrix.W
	n := math.Sqrt(w[0]*w[0] + w[1]*w[1] + w[2]*w[2])
	if u.aim == nil && n > 1e-9 {
		far := away
		if down := w[2] / n; down > .1 && u.at[2] > .1 && u.at[2]/down < 4*away {
			far = u.at[2] / down
		}
		u.aim = &[3]float64{}
		for i := range w {
			u.aim[i] = u.at[i] - w[i]/n*far
		}
	}
	if u.aim == nil || *u.aim == u.at {
		u.aim = nil
		h.note("%s: where it is aimed is not told", u.name)
		return
	}
	u.turn = turned(u, f.Matrix.U)
}

// turned is how far the row of cells is out of the level, about the beam, in degrees.
func turned(u *hungUnit, row [3]float64) float64 {
	level := &rig.Unit{}
	for i := range 3 {
		level.At[i], level.Aim[i] = si.Length(u.at[i]), si.Length(u.aim[i])
	}
	axis, flat := room.Hung(level)
	a, b, c := [3]float64{}, [3]float64{}, row
	for i := range 3 {
		a[i], b[i] = float64(axis[i]), float64(flat[i])
	}
	dot := func(p, q [3]float64) float64 { return p[0]*q[0] + p[1]*q[1] + p[2]*q[2] }
	across := [3]float64{a[1]*b[2] - a[2]*b[1], a[2]*b[0] - a[0]*b[2], a[0]*b[1] - a[1]*b[0]}
	deg := math.Atan2(dot(c, across), dot(c, b)) * 180 / math.Pi
	if math.IsNaN(deg) || math.Abs(deg) < .05 {
		return 0
	}
	return math.Round(deg*100) / 100
}
