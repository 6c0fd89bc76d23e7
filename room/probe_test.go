package room_test

import (
	"context"
	"testing"

	"lampblack/room"
)

// A probe where a seat is reads what the seat reads, as nearly as elements that
// count as points allow.
func TestProbeAgreesWithPlaces(t *testing.T) {
	r, rg := theHall(t), bars(t, 3)
	tr := solve(t, r, rg, room.Fineness{Patches: 2000, Elements: 300})
	levels := full(rg)
	for i, place := range tr.Eyes {
		p := &tr.Places[place]
		for _, s := range []room.Sense{room.Photopic, room.UVA} {
			got := tr.Probe(context.Background(), room.Probe{Sense: s, Levels: levels, Normal: &p.Normal}, []room.Point{p.At})[0]
			near(t, s.String()+" at "+p.Name, got, tr.Reading(place, s, levels), .06)
		}
		got := tr.Probe(context.Background(), room.Probe{Sense: room.UVA, Levels: levels, Upper: true}, []room.Point{p.At})[0]
		if want := float64(tr.MostUVA(i, levels).High); got < .8*want || got > 1.05*want {
			t.Errorf("turned to the light at %s: %v, %v by the places", p.Name, got, want)
		}
	}
}
