package room

import (
	"fmt"

	"lampblack/si"
)

// Where eyes are supposed of which nobody said where they are, in shares of the room: in three rows of the
// audience, sitting, and on the stage, standing (a choice, no source).
var (
	rowsOf    = []float64{.2, .5, .85} // of the way from the stage's edge to the wall behind
	acrossOf  = []float64{-.3, 0, .3}  // of the width, from the middle
	sitting   = si.Length(1.2)         // m, of eyes
	upright   = si.Length(1.6)
	deepStage = .5 // of the stage's depth
)

// Watched is the room with eyes supposed in it, for one in which nobody said where any are; ok is false for a room that
// has some. Their names say where they are.
func (r *Room) Watched() (w *Room, ok bool) {
	if len(r.Seats)+len(r.People) > 0 {
		return r, false
	}
	own := *r
	eye := func(x, y, z si.Length, toward Point) Eye {
		at := Point{x, y, min(z, r.Size[2]/2)}
		return Eye{Name: fmt.Sprintf("supposed at x %.1f m, y %.1f m, %.1f m high", float64(at[0]), float64(at[1]), float64(at[2])), At: at, Looks: &toward}
	}
	stage := r.stageMiddle().point()
	for _, x := range acrossOf {
		x := r.Size[0] * si.Length(x)
		if r.Front > 1 {
			for _, y := range rowsOf {
				own.Seats = append(own.Seats, eye(x, -r.Front*si.Length(y), sitting, stage))
			}
		}
		if behind := r.Size[1] - r.Front; behind > 1 {
			own.People = append(own.People, eye(x, behind*si.Length(deepStage), upright, Point{0, -r.Front / 2, sitting}))
		}
	}
	return &own, true
}
