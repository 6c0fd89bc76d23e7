package page

import (
	"slices"
	"testing"
	"time"

	"lampblack/plate"
)

// A lamp that is moved in the example's hall: what the picture costs while the hand moves, for the lamp and for a room that
// is changed, and what the light in the room costs afterwards.
func BenchmarkProvisional(b *testing.B) {
	s, err := theFish()
	if err != nil {
		b.Fatal(err)
	}
	book := New(s, nil)
	w := Wanted{Eye: s.Room.MiddleSeat(), Width: 320, Height: 180, Of: WaySeen, As: plate.AsEye}
	units := slices.Clone(s.Rig.Units)
	units[0].At[0] += .1
	rg := s.Rig.With(units)
	n := book.At(69 * time.Second)
	if _, err := book.Provisional(b.Context(), rg, n, w); err != nil { // the place to look from is made ready
		b.Fatal(err)
	}
	processor(b, "lamp", func() {
		if _, err := book.Provisional(b.Context(), rg, n, w); err != nil {
			b.Fatal(err)
		}
	})
	w.Width, w.Height = 160, 90
	processor(b, "room", func() {
		c := camera(s, w.Eye)
		t := s.Room.Glimpse(s.Rig)
		sight, err := plate.NewSight(b.Context(), t, &c, w.Width, w.Height, nil, nil)
		if err != nil {
			b.Fatal(err)
		}
		in := n
		in.Transport, in.Absent = t, nil
		drawn(sight, in, w, "")
	})
	processor(b, "full", func() { s.Room.Solve(b.Context(), rg) })
	processor(b, "after", func() { s.Room.SolveAfter(b.Context(), rg, s.Transport) })
}
