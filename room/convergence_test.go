package room_test

import (
	"math"
	"os"
	"testing"

	"lampblack/room"
)

// Halving the patches, and then the elements of inter-reflection, changes no
// seat's, performer's or object's reading by 2 %.
func TestHalvingPatches(t *testing.T) {
	if testing.Short() {
		t.Skip("the room is solved twice, once very finely")
	}
	r, rg := theHall(t), bars(t, 4)
	usual := solve(t, r, rg, room.Usual)
	levels := full(rg)
	// A side of half the length is four times as many. Finer elements take a
	// minute, so they are for long runs.
	finer := []room.Fineness{{Patches: 4 * room.Usual.Patches, Elements: room.Usual.Elements}}
	if os.Getenv("LAMPBLACK_LONG") != "" {
		finer = append(finer, room.Fineness{Patches: room.Usual.Patches, Elements: 1100},
			room.Fineness{Patches: 4 * room.Usual.Patches, Elements: 4 * room.Usual.Elements})
	}
	for _, f := range finer {
		fine := solve(t, r, rg, f)
		worst, where := 0.0, ""
		names := append([]string{"fish", "boat", "moon", "backdrop", "stage floor", room.AudienceWall}, eyesOf(usual)...)
		for _, name := range names {
			for _, s := range []room.Sense{room.Photopic, room.UVA} {
				a, b := usual.Mean(name, s, levels), fine.Mean(name, s, levels)
				if off := math.Abs(a/b - 1); off > worst {
					worst, where = off, name+", "+s.String()
				}
				if math.Abs(a/b-1) > .02 {
					t.Errorf("%+v: %s at %s: %.5g, was %.5g", f, s, name, b, a)
				}
			}
		}
		t.Logf("%+v: largest change %.2f %%, %s", f, 100*worst, where)
	}
}

func eyesOf(tr *room.Transport) []string {
	var out []string
	for _, p := range tr.Eyes {
		out = append(out, tr.Places[p].Name)
	}
	return out
}

// An eye sees the whole sphere of the room around it, whatever stands in it:
// the solid angles of all it sees sum to 4π.
func TestSolidAnglesFillTheSphere(t *testing.T) {
	tr := solve(t, theHall(t), bars(t, 1), room.Usual)
	for i := range tr.Eyes {
		sum := 0.0
		for _, v := range tr.Solid[i] {
			sum += float64(v)
		}
		near(t, "solid angle around "+tr.Places[tr.Eyes[i]].Name, sum, 4*math.Pi, .01)
	}
}
