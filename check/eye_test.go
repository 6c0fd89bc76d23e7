package check

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"testing"
	"testing/fstest"

	"lampblack/check/flash"
)

// Discs on a sphere overlap as counting random directions says.
func TestOverlap(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 10))
	for _, c := range []struct{ r1, r2, apart float64 }{
		{.05, .087, 0}, {.05, .087, .03}, {.05, .087, .06}, {.05, .087, .1}, {.087, .087, .087}, {.2, .087, .15}, {.2, .087, .28}, {.05, .087, .14},
	} {
		hits, n := 0, 400000
		cap1 := 2 * math.Pi * (1 - math.Cos(c.r1))
		for range n {
			// A direction inside disc 1, whose centre is the z axis.
			z := 1 - r.Float64()*(1-math.Cos(c.r1))
			turn := 2 * math.Pi * r.Float64()
			x := math.Sqrt(1-z*z) * math.Cos(turn)
			if x*math.Sin(c.apart)+z*math.Cos(c.apart) >= math.Cos(c.r2) {
				hits++
			}
		}
		want := cap1 * float64(hits) / float64(n)
		got := overlap(c.r1, c.r2, c.apart)
		if math.Abs(got-want) > .02*cap1 {
			t.Errorf("radii %v and %v, %v apart: %.5f sr, want %.5f sr", c.r1, c.r2, c.apart, got, want)
		}
	}
}

func TestCentres(t *testing.T) {
	s := &sight{items: []eyeItem{{direction: [3]float64{0, 1, 0}}, {direction: [3]float64{0, 0, 1}}, {direction: unitVector([3]float64{.001, 1, 0})}}}
	at := s.centres()
	if len(at) != 10 {
		t.Fatalf("%d directions, want 10: two places, and four beside each", len(at))
	}
	for _, c := range at[2:] {
		near := min(angle(c, at[0]), angle(c, at[1]))
		if math.Abs(near-2*fieldHalf/3) > .001 {
			t.Errorf("a direction %v rad beside its place", near)
		}
	}
}

// card is a room with a white card of the given side, 4 m before an eye, and a
// lamp behind the eye that flashes it five times in a second by cues.
func card(side float64) fstest.MapFS {
	out := bench("", "")
	cues := ""
	for i := range 5 {
		cues += fmt.Sprintf("  - {cue: %d, at: %d ms, look: lit, up: 0.01 s, returns: 0.05 s}\n", i+1, 1000+200*i)
	}
	text := func(s string) *fstest.MapFile { return &fstest.MapFile{Data: []byte(s)} }
	out["fixtures/lamp.yaml"] = text(`name: lamp
size: [0.1 m, 0.1 m, 0.1 m]
beam: {half: 15°, shape: gaussian}
emitters:
  white: {like: phosphor 4000 K, output: 900 lm}
modes:
  one: {1: {drives: white}}
`)
	out["rig.yaml"] = text("units:\n  - {unit: a, type: lamp, address: 1, at: [0 m, -1.5 m, 1.2 m], aim: [0 m, 3 m, 1.2 m], systems: [all]}\n")
	out["room.yaml"] = text(fmt.Sprintf(`size: [6 m, 8 m, 3 m]
stage front: 4 m
walls: black velvet
floor: black velvet
ceiling: black velvet
surfaces:
  card: {material: white cloth, centre: [0 m, 3 m, 1.2 m], width: %.3f m, height: %.3f m, faces: [0 m, -1 m, 0 m]}
audience:
  - {name: eye, at: [0 m, -1 m, 1.2 m], looks at: [0 m, 3 m, 1.2 m]}
`, side, side))
	out["score.yaml"] = text("looks:\n  lit:\n    parts:\n      - {system: all, emitters: {white: 100 %}}\n  out:\n    parts:\n      - {system: all, emitters: {white: 0 %}}\ncues:\n" + cues + "  - {cue: 9, at: 5 s, look: out, up: 0 s}\n")
	return out
}

// A card of 0.0052 sr flashes five times in a second and is small enough; one
// of 0.0072 sr is not (WCAG 2.2: 0.006 sr, a quarter of a 10 degree field). At
// 4 m they have sides of 0.29 m and 0.34 m.
func TestAreaOfACard(t *testing.T) {
	for side, want := range map[float64]float64{.29: 0, .34: 5} {
		s := solved(t, card(side))
		list, _ := Run(context.Background(), s, Options{Only: []string{"flash-rate"}})
		got := 0.0
		if len(list) > 0 {
			got = list[0].Value
		}
		if got != want {
			t.Errorf("a card of %v m: %v flashes, want %v", side, got, want)
		}
		if want > float64(flash.BT.Most) && (len(list) == 0 || list[0].Severity != Stop) {
			t.Errorf("it does not stop: %v", keys(list))
		}
	}
}
