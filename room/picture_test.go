package room_test

import (
	"math"
	"testing"

	"lampblack/room"
)

// The picture is the same as the readings, place by place, and needs no
// memory of its own.
func TestPictureAgreesWithReadings(t *testing.T) {
	r, rg := theHall(t), bars(t, 3)
	tr := solve(t, r, rg, room.Fineness{Patches: 500, Elements: 120})
	levels := full(rg)
	for d := range levels {
		levels[d] = float32(d%7) / 7
	}
	p := tr.NewPicture()
	tr.Picture(p, levels)
	same := func(what string, i int, got, want float64) {
		if math.Abs(got-want) > 1e-4*math.Abs(want)+1e-9 {
			t.Fatalf("%s of place %d (%s): %v, but the reading says %v", what, i, tr.Places[i].Name, got, want)
		}
	}
	for i := range tr.Places {
		same("illuminance", i, float64(p.Lux[i]), tr.Reading(i, room.Photopic, levels))
		same("UV-A", i, float64(p.UVA[i]), tr.Reading(i, room.UVA, levels))
		same("luminance", i, p.Colour[i].Y, tr.Luminance(i, levels).Y)
		same("glow", i, p.Glow[i].Y, tr.GlowOnly(i, levels).Y)
	}
	if n := testing.AllocsPerRun(3, func() { tr.Picture(p, levels) }); n != 0 {
		t.Errorf("a picture allocates %v times", n)
	}
}
