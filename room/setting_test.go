package room_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"lampblack/room"
)

// aCurtain is the room of behindDrapes with these surfaces.
const aCurtain = `  tabs: {material: red velvet, centre: [0 m, 2 m, 1.5 m], width: 6 m, height: 3 m, faces: [0 m, -1 m, 0 m], opens: %s}
`

// A curtain in each of its settings is the room with drapes that leave the same opening free,
// and all settings have the same places.
func TestCurtainIsItsDrapes(t *testing.T) {
	rg := hang(t, `
units:
  - {unit: a, type: spot, address: 1, at: [-1 m, -2 m, 2.6 m], aim: [-0.5 m, 2 m, 1 m]}
  - {unit: b, type: spot, address: 2, at: [1.5 m, -1 m, 2.6 m], aim: [1 m, 2 m, 1.4 m]}
`, spot(t, "spot", "3000 lm", "60°"))
	f := room.Fineness{Patches: 1500, Elements: 500}
	low := func(z float64) string {
		return fmt.Sprintf("  up: {material: grey cloth, centre: [0 m, 2 m, %.3f m], width: 6 m, height: %.3f m, faces: [0 m, -1 m, 0 m]}\n", (3+z)/2, 3-z)
	}
	for _, c := range []struct {
		opens  string
		at     int
		drapes string
	}{
		{"to the sides", 0, drape("whole", -3, 3, 2)},
		{"to the sides", 1, drape("l", -3, -.75, 2) + drape("r", .75, 3, 2)},
		{"to the sides", 2, drape("l", -3, -1.8, 2) + drape("r", 1.8, 3, 2)},
		{"to the sides", 3, ""},
		{"to the left", 2, drape("l", -3, -.6, 2)},
		{"to the right", 2, drape("r", .6, 3, 2)},
		{"upward", 2, low(1.8)},
	} {
		r := read(t, behindDrapes(fmt.Sprintf(aCurtain, c.opens)))
		r.Divide(map[string][]float64{"tabs": {.25, .6, 1}})
		got := solve(t, r.In(room.Setting{"tabs": c.at}), rg, f)
		text := strings.Replace(behindDrapes(c.drapes), "surfaces:\n\n", "", 1)
		want := solve(t, read(t, strings.ReplaceAll(text, "grey cloth", "red velvet")), rg, f)
		levels := full(rg)
		for _, name := range []string{"just behind", "behind and turned", "far behind"} {
			g, w := float64(got.Lux(name, levels)), float64(want.Lux(name, levels))
			if math.Abs(g-w) > .03*w+.01 {
				t.Errorf("%s, setting %d: %s has %.4f lx, and %.4f lx with drapes", c.opens, c.at, name, g, w)
			}
		}
		if all := solve(t, r, rg, f); len(all.Places) != len(got.Places) || len(all.Panels) != len(got.Panels) {
			t.Errorf("%s: settings have %d and %d places", c.opens, len(all.Places), len(got.Places))
		}
	}
}

// Between two settings light goes in straight lines, a strip keeps the light that it has where it
// is there, and what is away sends nothing to an eye.
func TestMixedSettings(t *testing.T) {
	rg := hang(t, "units:\n  - {unit: a, type: spot, address: 1, at: [-1 m, -2 m, 2.6 m], aim: [-0.5 m, 2 m, 1 m]}\n", spot(t, "spot", "3000 lm", "60°"))
	r := read(t, behindDrapes(fmt.Sprintf(aCurtain, "upward")))
	r.Divide(map[string][]float64{"tabs": {.5, 1}})
	f := room.Fineness{Patches: 800, Elements: 300}
	closed, half := solve(t, r, rg, f), solve(t, r.In(room.Setting{"tabs": 1}), rg, f)
	levels := full(rg)
	lux := func(t *room.Transport, name string) float64 { return float64(t.Lux(name, levels)) }
	mixed := room.Mixed([]*room.Transport{closed, half}, []float64{.25, .75})
	for _, name := range []string{"just behind", "far behind", "floor"} {
		if want := .25*lux(closed, name) + .75*lux(half, name); math.Abs(lux(mixed, name)-want) > 1e-3*want+1e-6 {
			t.Errorf("%s: %v lx, want %v", name, lux(mixed, name), want)
		}
	}
	if away := mixed.AwayIn(map[string]float64{"tabs": .3}); count(away) != 2 {
		t.Errorf("at 30 %% %d panels are away, want both sides of the lower half", count(away))
	}
	if away := mixed.AwayIn(map[string]float64{"tabs": .2}); away != nil {
		t.Error("at 20 % something is away")
	}
	half = solve(t, r.In(room.Setting{"tabs": 1}), rg, room.Usual)
	kept, err := half.Keep()
	if err != nil {
		t.Fatal(err)
	}
	again, _, err := r.In(room.Setting{"tabs": 1}).Restore(t.Context(), rg, kept)
	if err != nil || math.Abs(lux(again, "just behind")-lux(half, "just behind")) > 1e-6 {
		t.Errorf("a setting that was kept: %v", err)
	}
}

func count(list []bool) (n int) {
	for _, b := range list {
		if b {
			n++
		}
	}
	return n
}

// A box that comes and goes is there, or not.
func TestBoxComes(t *testing.T) {
	rg := hang(t, "units:\n  - {unit: a, type: spot, address: 1, at: [0 m, -2 m, 2.6 m], aim: [0 m, 2 m, 1 m]}\n", spot(t, "spot", "3000 lm", "60°"))
	with := "boxes:\n  plinth: {centre: [0 m, 0 m, 1 m], size: [2 m, 0.5 m, 2 m]}\n"
	text := strings.Replace(behindDrapes(""), "surfaces:\n\n", "%s", 1)
	r := read(t, fmt.Sprintf(text, with))
	r.Divide(map[string][]float64{"plinth": {.3, 1}})
	f := room.Fineness{Patches: 1500, Elements: 500}
	levels := full(rg)
	for at, want := range []*room.Transport{solve(t, read(t, fmt.Sprintf(text, with)), rg, f), solve(t, read(t, fmt.Sprintf(text, "")), rg, f)} {
		got := solve(t, r.In(room.Setting{"plinth": at}), rg, f)
		for _, name := range []string{"far behind", "stage wall"} {
			g, w := float64(got.Lux(name, levels)), float64(want.Lux(name, levels))
			if math.Abs(g-w) > .03*w {
				t.Errorf("setting %d: %s has %v lx, want %v", at, name, g, w)
			}
		}
	}
}

// What opens is a rectangle.
func TestOpensOtherThanRectangles(t *testing.T) {
	text := faultsOf(t, strings.Replace(behindDrapes(fmt.Sprintf(aCurtain, "upward")), "opens: upward", "shape: disc, opens: upward", 1))
	if !strings.Contains(text, `surface "tabs" opens upward, and only rectangles do`) {
		t.Error(text)
	}
}
