package room_test

import (
	"math"
	"strings"
	"testing"

	"lampblack/light"
	"lampblack/room"
)

const shapes = black + `
size: [8 m, 10 m, 4 m]
stage front: 5 m
objects:
  moon: {paint: fluorescent yellow-green, centre: [0 m, 2 m, 2 m], width: 1.2 m, height: 1.2 m, faces: [0 m, -1 m, 0 m], shape: disc}
surfaces:
  corner: {material: grey cloth, centre: [-2.5 m, 2 m, 1 m], width: 2 m, height: 2 m, faces: [0 m, -1 m, 0 m],
    outline: [[0 m, 0 m], [2 m, 0 m], [2 m, 1 m], [1 m, 1 m], [1 m, 2 m], [0 m, 2 m]]}
  star: {material: grey cloth, centre: [2.5 m, 2 m, 2 m], width: 2 m, height: 2 m, faces: [0 m, -1 m, 0 m],
    outline: [[1 m, 2 m], [0.7 m, 1.3 m], [0 m, 1 m], [0.7 m, 0.7 m], [1 m, 0 m], [1.3 m, 0.7 m], [2 m, 1 m], [1.3 m, 1.3 m]]}
pillars:
  column: {foot: [-3 m, -2 m, 0 m], across: 0.4 m, height: 4 m, material: white paint}
  pole: {foot: [3 m, -2 m, 0 m], across: 0.1 m, height: 2.5 m, material: nothing}
audience:
  - {name: before the moon, at: [0 m, -1 m, 2 m], looks at: [0 m, 2 m, 2 m]}
  - {name: behind the corner, at: [-2 m, 2.5 m, 1.5 m], looks at: [-2 m, -3 m, 1.5 m]}
  - {name: behind its foot, at: [-2 m, 2.5 m, 0.5 m], looks at: [-2 m, -3 m, 0.5 m]}
`

// area sums the bare places of a name, both sides of what is flat or all of a body.
func area(tr *room.Transport, name string) (sum float64) {
	for _, p := range tr.Find(name) {
		sum += tr.Places[p].Area
	}
	return sum
}

// Shapes have the area that geometry gives them: a disc πd²/4, an L of three squares, a star by
// the shoelace formula, a column its girth times its height.
func TestShapesHaveTheirArea(t *testing.T) {
	rg := hang(t, "units:\n  - {unit: a, type: spot, address: 1, at: [-2 m, -4 m, 1.5 m], aim: [-2 m, 2 m, 1.5 m]}\n", spot(t, "spot", "1000 lm", "60°"))
	tr := solve(t, read(t, shapes), rg, room.Fineness{Patches: 1500, Elements: 200})
	near(t, "disc", area(tr, "moon"), math.Pi*1.2*1.2/4, 1e-3)
	near(t, "corner", area(tr, "corner"), 3, 1e-3)
	near(t, "star", area(tr, "star"), 1.2, 1e-3)
	near(t, "column", area(tr, "column"), math.Pi*.4*4, 2e-3)
	near(t, "pole and its top", area(tr, "pole"), math.Pi*(.1*2.5+.1*.1/4), .03)
}

// A disc is seen under 2π(1 - d/√(d²+r²)), from 3 m on its axis.
func TestSolidAngleOfADisc(t *testing.T) {
	rg := hang(t, "units:\n  - {unit: a, type: spot, address: 1, at: [-2 m, -4 m, 1.5 m], aim: [-2 m, 2 m, 1.5 m]}\n", spot(t, "spot", "1000 lm", "60°"))
	tr := solve(t, read(t, shapes), rg, room.Fineness{Patches: 1500, Elements: 200})
	sum := 0.0
	for _, p := range tr.Find("moon") {
		sum += float64(tr.Solid[0][p])
	}
	near(t, "solid angle", sum, 2*math.Pi*(1-3/math.Hypot(3, .6)), 2e-3)
}

// An L lets light through its notch and keeps it off behind its foot.
func TestShapesThrowTheirShadow(t *testing.T) {
	rg := hang(t, "units:\n  - {unit: a, type: spot, address: 1, at: [-2 m, -3 m, 1 m], aim: [-2 m, 2 m, 1 m]}\n", spot(t, "spot", "1000 lm", "60°"))
	tr := solve(t, read(t, shapes), rg, room.Fineness{Patches: 400, Elements: 100})
	levels := full(rg)
	if tr.Lux("behind the corner", levels) < 10 {
		t.Error("no light comes through the notch")
	}
	if e := tr.Lux("behind its foot", levels); e > 0 {
		t.Errorf("%v come through the foot", e)
	}
}

// A round pole of 10 cm half way before a lens of 24 cm leaves 4 of its 24 cm to be seen: its
// breadth is within 2.4 %, so that 3.5 to 4.5 cm are.
func TestRoundPoleBeforeALens(t *testing.T) {
	const text = black + "size: [6 m, 10 m, 3 m]\nstage front: 5 m\naudience:\n  - {at: [0 m, -4 m, 1.2 m], looks at: [0 m, 2 m, 1.2 m]}\n"
	rg := wideLens(t, "")
	f := room.Fineness{Patches: 200, Elements: 40}
	with := solve(t, read(t, text+"pillars:\n  pole: {foot: [0 m, -1 m, 0 m], across: 0.1 m, height: 3 m, material: nothing}\n"), rg, f)
	without := solve(t, read(t, text), rg, f)
	near(t, "seen past the pole", with.Reading(with.Eyes[0], room.Photopic, full(rg))/without.Reading(without.Eyes[0], room.Photopic, full(rg)), 4./24, .125)
}

// All light that is sent out is taken up, with shapes in the way.
func TestEnergyIsKeptByShapes(t *testing.T) {
	rg := hang(t, "units:\n  - {unit: a, type: spot, address: 1, at: [2 m, -4 m, 2.6 m], aim: [-0.5 m, 1.5 m, 1.2 m]}\n", spot(t, "spot", "2 W", "50°"))
	r := read(t, `
size: [8 m, 12 m, 4 m]
stage front: 7 m
materials: {all: {reflects: 60 %}}
walls: all
floor: all
ceiling: all
surfaces:
  moon: {material: all, centre: [0 m, 2 m, 2 m], width: 2 m, height: 2 m, faces: [0.3 m, -1 m, 0 m], shape: disc}
  corner: {material: all, centre: [-2.5 m, 2 m, 1 m], width: 2 m, height: 2 m, faces: [0 m, -1 m, 0 m], outline: [[0 m, 0 m], [2 m, 0 m], [2 m, 1 m], [1 m, 1 m], [1 m, 2 m], [0 m, 2 m]]}
pillars:
  column: {foot: [-1 m, 0 m, 0 m], across: 0.5 m, height: 4 m, material: all}
  stump: {foot: [1.5 m, 1 m, 0 m], across: 0.5 m, height: 1 m, material: all}
`)
	tr := solve(t, r, rg, room.Usual)
	direct, _, absorbed := flux(tr, func(*room.Place) light.Spectrum { return light.Grey(.6) })
	t.Logf("direct %.4f absorbed %.4f of 2", direct, absorbed)
	near(t, "direct flux", direct, 2, .01)
	near(t, "absorbed", absorbed, 2, .01)
}

// Bad shapes are told with their place.
func TestBadShapes(t *testing.T) {
	const fine = "size: [8 m, 10 m, 4 m]\nstage front: 6 m\n"
	with := func(more string) string {
		return fine + "surfaces:\n  a: {centre: [0 m, 1 m, 1 m], width: 1 m, height: 1 m, faces: [0 m, -1 m, 0 m], " + more + "}\n"
	}
	for _, c := range []struct{ name, text, want string }{
		{"crosses itself", with("outline: [[0 m, 0 m], [1 m, 1 m], [1 m, 0 m], [0 m, 1 m]]"), `room.yaml:4:6: the outline of surface "a" crosses itself: its side from corner 1 to 2 meets that from 3 to 4`},
		{"two corners", with("outline: [[0 m, 0 m], [1 m, 1 m]]"), `has 2 corners, and needs 3 to 200`},
		{"outside", with("outline: [[0 m, 0 m], [2 m, 1 m], [1 m, 0 m]]"), `has corner 2 at 2 m, 1 m, outside its 1 m by 1 m`},
		{"no area", with("outline: [[0 m, 0 m], [0.5 m, 0 m], [1 m, 0 m]]"), `the outline of surface "a" has no area`},
		{"both", with("shape: disc, outline: [[0 m, 0 m], [1 m, 0 m], [1 m, 1 m]]"), `stands beside a shape`},
		{"pillar through the ceiling", fine + "pillars:\n  p: {foot: [0 m, 1 m, 0 m], across: 0.2 m, height: 5 m}\n", `room.yaml:4:6: pillar "p" reaches 1 m into a wall, the floor or the ceiling`},
		{"pillar of no size", fine + "pillars:\n  p: {foot: [0 m, 1 m, 0 m], across: 0 m, height: 2 m}\n", `the size 0 m of pillar "p" lies outside`},
		{"seat in a pillar", fine + "pillars:\n  p: {foot: [0 m, -2 m, 0 m], across: 1 m, height: 4 m}\naudience:\n  - {at: [0 m, -2 m, 1 m]}\n", `is inside the pillar "p"`},
	} {
		if got := faultsOf(t, c.text); !strings.Contains(got, c.want) {
			t.Errorf("%s:\n got %s\nwant %s", c.name, got, c.want)
		}
	}
}

// A fish of a round body and a tail is two or three parts, and no area is lost.
func TestOutlinesAreFewParts(t *testing.T) {
	fish := read(t, `
size: [8 m, 8 m, 3 m]
stage front: 4 m
objects:
  fish: {paint: fluorescent green, centre: [0 m, 1 m, 1.5 m], width: 0.9 m, height: 0.5 m, faces: [0 m, -1 m, 0 m],
         outline: [[0.28 m, 0.2 m], [0.42 m, 0.06 m], [0.62 m, 0 m], [0.8 m, 0.08 m], [0.9 m, 0.22 m], [0.82 m, 0.38 m], [0.62 m, 0.46 m], [0.42 m, 0.42 m], [0.28 m, 0.3 m], [0 m, 0.5 m], [0 m, 0.02 m]]}
`)
	tr := solve(t, fish, few(t), room.Fineness{Patches: 400, Elements: 100})
	parts := 0
	for i := range tr.Panels {
		if tr.Panels[i].Name == "fish" && !tr.Panels[i].Back {
			parts++
		}
	}
	if parts > 3 {
		t.Errorf("the fish is in %d parts", parts)
	}
	near(t, "area of the fish", area(tr, "fish"), .2812, .01)
}
