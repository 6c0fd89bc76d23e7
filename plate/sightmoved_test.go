package plate

import (
	"math"
	"slices"
	"strings"
	"testing"

	"lampblack/rig"
	"lampblack/room"
	"lampblack/si"
)

// hungElsewhere is the rig with its first lamp over the audience, aimed at the table.
func hungElsewhere(s setting) *rig.Rig {
	units := slices.Clone(s.rig.Units)
	units[0].At, units[0].Aim = [3]si.Length{-1.5, -2, 3}, [3]si.Length{-1, .8, .8}
	return s.rig.With(units)
}

// A sight with a lamp moved has the rays at every point that a sight of the room solved with it there has, and its picture is
// as fine: at pixels drawn by lot the light between points is what it is there.
func TestSightRehung(t *testing.T) {
	s := solved(strings.ReplaceAll(plateRoom, "walls: grey paint", "materials: {nothing: {reflects: 0}}\nwalls: nothing\nfloor: nothing\nceiling: nothing"))
	rg, moved := hungElsewhere(s), []bool{true, false, false}
	tr, ok := s.transport.Rehung(rg, moved)
	if !ok {
		t.Fatal("the lamp cannot be moved")
	}
	want, _ := s.room.SolveAt(t.Context(), rg, room.Fineness{Patches: 800, Elements: 120})
	v := s.view(false)
	v.Levels = []float32{1, 1, 1, 1, 1, 1} // else lamps that are off are left out
	first, err := v.sight(t.Context(), 320, 180, &v.Instant)
	if err != nil {
		t.Fatal(err)
	}
	sight, err := first.Rehung(t.Context(), tr, moved)
	if err != nil {
		t.Fatal(err)
	}
	for i := range sight.points {
		p := &sight.points[i]
		got, rays := slices.Clone(sight.rays[p.from:p.to]), want.Pointer().Direct(nil, p.at, want.Panels[p.panel].Normal, nil)
		slices.SortFunc(got, func(a, b room.Ray) int { return int(a.Column - b.Column) })
		if !slices.Equal(got, rays) {
			t.Fatalf("point %d at %v has %v, want %v", i, p.at, got, rays)
		}
	}
	if len(sight.points) <= len(first.points) {
		t.Error("no block was cut further where the light of the moved lamp ends")
	}
	n := v.Instant
	n.Transport, n.Levels = tr, []float32{1, 0, 0, 0, 0, 0}
	const scale = 20
	scene := sight.Light(nil, room.Falls, &n)
	img := scene.paint(nil, false, func(v *room.Shine) shown { y := float32(min(v.Y*scale, 254)); return shown{y, y, y} })
	off, lit := 0, 0
	for i := range 600 {
		x, y := (i*7919)%320, (i*104729)%180
		is := float64(sight.At(room.Falls, &n, float64(x)+.5, float64(y)+.5).Shine.Y) * scale
		if got := float64(img.RGBAAt(x, y).R); is < 250 {
			if is > 2 {
				lit++
			}
			if math.Abs(got-is) > 1+.06*is {
				off++
			}
		}
	}
	if lit < 30 || off*20 > 600 {
		t.Errorf("%d of 600 pixels are off by more than 6 %%; %d are lit", off, lit)
	}
}
