package room_test

import (
	"math"
	"slices"
	"testing"

	"lampblack/room"
	"lampblack/si"
)

// Solved after another rig in the same room, the light is what it is solved by itself, and less is worked out.
func TestSolveAfter(t *testing.T) {
	usual := room.Usual
	room.Usual = room.Fineness{Patches: 600, Elements: 100}
	defer func() { room.Usual = usual }()
	rg, r := bars(t, 4), theHall(t)
	before, _ := r.Solve(t.Context(), rg)
	units := slices.Clone(rg.Units)
	units[2].At[0] += 1.3
	units[2].Aim = [3]si.Length{-1, 2, .4}
	want, _ := r.Solve(t.Context(), rg.With(units))
	got, _ := r.SolveAfter(t.Context(), rg.With(units), before)
	levels := full(rg)
	for place := range want.Places {
		for _, s := range []room.Sense{room.Photopic, room.UVA} {
			if a, b := got.Reading(place, s, levels), want.Reading(place, s, levels); a != b {
				t.Fatalf("place %d of %s has %g, want %g", place, want.Places[place].Name, a, b)
			}
		}
	}
	// Of another room nothing is taken.
	other := theHall(t)
	other.Surfaces.Get("backdrop").Centre[1] += .2
	want, _ = other.Solve(t.Context(), rg)
	if got, _ = other.SolveAfter(t.Context(), rg, before); got.Lux("backdrop", levels) != want.Lux("backdrop", levels) {
		t.Error("what another room's surfaces see is taken")
	}
}

// With a lamp moved, all that is known of its light is what the room solved with it there has straight from it; of the
// other lamps all is as it was.
func TestRehung(t *testing.T) {
	rg := bars(t, 4)
	r := theHall(t)
	r.Loosen([]string{"fish"})
	f := room.Fineness{Patches: 600, Elements: 100}
	before := solve(t, r, rg, f)
	units := slices.Clone(rg.Units)
	units[1].At[0] += .7
	units[1].Aim = [3]si.Length{.3, 1.9, 1.2}
	moved := []bool{false, true, false, false}
	got, ok := before.Rehung(rg.With(units), moved)
	if !ok {
		t.Fatal("the lamp cannot be moved")
	}
	after := solve(t, r, rg.With(units), f)
	compared := 0
	for place := range got.Places {
		loose := got.Places[place].Panel < 0 || got.Panels[got.Places[place].Panel].Moves()
		for d := range rg.Drives {
			is := float64(got.Straight(place, d))
			want := float64(before.Straight(place, d))
			if moved[rg.Drives[d].Unit] {
				if want = 0; loose {
					want = float64(after.Straight(place, d))
					compared++
				}
			}
			if math.Abs(is-want) > 1e-6*want {
				t.Fatalf("%s gets %g W/m² of drive %d, want %g", got.Places[place].Name, is, d, want)
			}
		}
	}
	if compared == 0 {
		t.Error("nothing moves in the room")
	}
	off := make([]float32, len(rg.Drives))
	from, to := rg.UnitDrives(2)
	for d := from; d < to; d++ {
		off[d] = 1
	}
	if is, was := got.Lux("backdrop", off), before.Lux("backdrop", off); is != was || was == 0 {
		t.Errorf("another lamp gives %v, and gave %v", is, was)
	}
	if _, ok := before.Rehung(bars(t, 3), moved); ok {
		t.Error("a rig of other lamps is taken")
	}
	units[1].At = [3]si.Length{0, 0, 99}
	if out, ok := before.Rehung(rg.With(units), moved); !ok || out.Lux("fish", full(rg)) >= before.Lux("fish", full(rg)) {
		t.Error("a lamp outside of the room gives light")
	}
}
