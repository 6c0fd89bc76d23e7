package positions_test

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"strings"
	"testing"
	"testing/fstest"
	"time"

	"lampblack/check/checktest"
	"lampblack/positions"
	"lampblack/room"
	"lampblack/show"
	"lampblack/si"
)

// hidden is a room with a rig of random positions that nobody is told of: what its looks give there is
// measured, and is what the same looks then ask for.
type hidden struct {
	room, score, where, bare string
	units                    int
}

// hide makes one of a seed. Rooms, paints, types, positions, aims and levels are all drawn; units hang from
// two bars or stand anywhere on the floor that is not in a seat.
func hide(t *testing.T, seed uint64) *hidden {
	r := rand.New(rand.NewPCG(seed, 7))
	in := func(low, high float64) float64 { return low + (high-low)*r.Float64() }
	pick := func(of ...string) string { return of[r.IntN(len(of))] }
	w, d, h := in(6, 11), in(9, 15), in(3, 4.5)
	front := .6 * d
	back := d - front
	h0 := &hidden{}
	var b strings.Builder
	fmt.Fprintf(&b, "size: [%.2f m, %.2f m, %.2f m]\nstage front: %.2f m\nwalls: %s\nfloor: wood floor\nceiling: %s\nsurfaces:\n", w, d, h, front,
		pick("white paint", "cream plaster", "brick", "black cloth"), pick("white paint", "black paint"))
	fmt.Fprintf(&b, "  backdrop: {material: %s, centre: [0 m, %.2f m, 1.50 m], width: %.2f m, height: 2.80 m, faces: [0 m, -1 m, 0 m]}\n", pick("black velvet", "white cloth", "grey paint"), back-.3, .7*w)
	flat := in(-.25, .25) * w
	places := [][3]float64{{flat, in(.3, .6) * back, .95}}
	fmt.Fprintf(&b, "  flat: {material: light grey, centre: [%.2f m, %.2f m, 0.95 m], width: 0.8 m, height: 1.7 m, faces: [0 m, -1 m, 0 m]}\n", flat, places[0][1])
	b.WriteString("objects:\n")
	things := 1 + r.IntN(3)
	for i := range things {
		at := [3]float64{in(-.3, .3) * w, in(.25, .7) * back, in(.8, 1.9)}
		places = append(places, at)
		fmt.Fprintf(&b, "  thing %d: {paint: %s, centre: [%.2f m, %.2f m, %.2f m], width: %.2f m, height: %.2f m, faces: [0 m, -1 m, 0 m], background: backdrop}\n", i,
			pick("fluorescent orange", "fluorescent green", "fluorescent yellow-green", "fluorescent pink"), at[0], at[1], at[2], in(.4, 1), in(.3, .8))
	}
	b.WriteString("audience:\n")
	for i := range 2 + r.IntN(3) {
		fmt.Fprintf(&b, "  - {name: seat %d, at: [%.2f m, %.2f m, 1.2 m]}\n", i, in(-.3, .3)*w, in(-.85, -.3)*front)
	}
	fmt.Fprintf(&b, "performers:\n  - {name: player, at: [%.2f m, %.2f m, 1.6 m]}\n", in(-.2, .2)*w, in(.7, .85)*back)
	fmt.Fprintf(&b, "paths:\n  aisle: {points: [[%.2f m, %.2f m, 0 m], [%.2f m, -0.5 m, 0 m]], width: 1 m}\n", -.42*w, -front+.5, -.42*w)
	h0.room = b.String()

	n, m := 2+r.IntN(3), 1+r.IntN(3)
	h0.units = n + m
	visible, black := pick("white par", "colour and white par", "warm white par", "face light"), pick("black light flood", "black light bar", "black light spot")
	var at, bare strings.Builder
	at.WriteString("units:\n")
	bare.WriteString("units:\n")
	slot := 1
	var looks strings.Builder
	unit := func(name, kind, system string, x, y, z float64) {
		var p [3]float64
		switch r.IntN(3) {
		case 0:
			p = [3]float64{in(-.45, .45) * w, -2, h - .4}
		case 1:
			p = [3]float64{in(-.45, .45) * w, .4, h - .4}
		default:
			p = [3]float64{in(-.45, .45) * w, in(-.5*front, .6*back), in(1, min(3, h-.3))}
		}
		if p[1] > y-.4 {
			p[1] = y - .4 - in(0, 1)
		}
		for near(places, p) { // as for the planner: from nearer than a metre a lamp makes a spot
			p[1] -= .2
		}
		fmt.Fprintf(&at, "  - {unit: %s, type: %s, address: %d, systems: [%s], at: [%.2f m, %.2f m, %.2f m], aim: [%.2f m, %.2f m, %.2f m]}\n", name, kind, slot, system, p[0], p[1], p[2], x+in(-.3, .3), y, z+in(-.3, .3))
		fmt.Fprintf(&bare, "  - {unit: %s, type: %s, address: %d, systems: [%s]}\n", name, kind, slot, system)
		slot += 20
	}
	bars := fmt.Sprintf("supports:\n  front bar: {kind: bar, height: %.2f m, at: [0 m, -2 m]}\n  stage bar: {kind: bar, height: %.2f m, at: [0 m, 0.4 m]}\n", h-.4, h-.4)
	for i := range n {
		x := flat
		if i%2 == 0 {
			x = in(-.25, .25) * w
		}
		unit(fmt.Sprintf("front %d", i), visible, "front", x, .45*back, 1.2)
	}
	for i := range m {
		unit(fmt.Sprintf("uv %d", i), black, "uv", in(-.3, .3)*w, .5*back, 1.3)
	}
	h0.where, h0.bare = at.String()+bars, bare.String()+bars

	// What the hidden rig gives at drawn levels.
	looks.WriteString("looks:\n  lit: {parts: [")
	for i := range n {
		fmt.Fprintf(&looks, "{units: [front %d], level: %.0f %%}, ", i, in(50, 100))
	}
	looks.WriteString("]}\n  dark: {parts: [")
	for i := range m {
		fmt.Fprintf(&looks, "{units: [uv %d], emitters: {uv: %.0f %%}}, ", i, in(50, 100))
	}
	looks.WriteString("]}\n")
	s := solved(t, h0.files(h0.where, looks.String()))
	tr, lit, dark := s.Transport, s.Looks[0].Levels, s.Looks[1].Levels
	most := 0.0
	for _, row := range tr.PieceRows("backdrop", room.Photopic) {
		sum := 0.0
		for d, v := range row {
			sum += v * float64(lit[d])
		}
		most = max(most, sum)
	}
	eyes := 0.0
	for e := range tr.Eyes {
		eyes = max(eyes, float64(tr.MostUVA(e, dark).High))
	}
	var goals strings.Builder
	fmt.Fprintf(&goals, "looks:\n  wash: {parts: [{system: front, lux: %.3f, on: backdrop}]}\n", float64(tr.Lux("backdrop", lit)))
	fmt.Fprintf(&goals, "  actor: {dark: [{on: backdrop, at most: %.3f lx}], parts: [{system: front, lux: %.3f, on: flat}]}\n", most*1.001+.001, float64(tr.Lux("flat", lit)))
	fmt.Fprintf(&goals, "  glow: {ultraviolet at eyes: {at most: %.5f W/m2}, parts: [", eyes*1.001+1e-5)
	for i := range things {
		name := fmt.Sprintf("thing %d", i)
		g, _ := tr.Glow(name, dark)
		if g.Own.Y < .005 {
			continue
		}
		fmt.Fprintf(&goals, "{system: uv, glow: {object: %s, luminance: %.4f cd/m2", name, g.Own.Y*.999)
		if g.Over > 1 && g.Over < 1000 {
			fmt.Fprintf(&goals, ", over background: %.3f", g.Over*.999)
		}
		goals.WriteString("}}")
		break // a drive belongs to the last part that speaks of it
	}
	goals.WriteString("]}\n")
	for i := 1; i < things; i++ {
		name := fmt.Sprintf("thing %d", i)
		if g, _ := tr.Glow(name, dark); g.Own.Y >= .005 {
			fmt.Fprintf(&goals, "  glow %d: {parts: [{system: uv, glow: {object: %s, luminance: %.4f cd/m2}}]}\n", i, name, g.Own.Y*.999)
		}
	}
	h0.score = goals.String()
	return h0
}

// near tells whether a place is within a metre of any of some others.
func near(of [][3]float64, p [3]float64) bool {
	for _, q := range of {
		if math.Hypot(math.Hypot(q[0]-p[0], q[1]-p[1]), q[2]-p[2]) < 1 {
			return true
		}
	}
	return false
}

func (h *hidden) files(rig, score string) fstest.MapFS {
	return fstest.MapFS{"show.yaml": {Data: []byte("title: hidden\n")}, "room.yaml": {Data: []byte(h.room)}, "rig.yaml": {Data: []byte(rig)}, "score.yaml": {Data: []byte(score)}}
}

func read(t *testing.T, dir fstest.MapFS) show.Files {
	t.Helper()
	f, faults := show.Read(dir)
	if faults.Err() != nil {
		t.Fatal(faults)
	}
	return f
}

func solved(t *testing.T, dir fstest.MapFS) *show.Show {
	t.Helper()
	s, faults := show.New(context.Background(), read(t, dir), nil)
	if faults.Err() != nil {
		t.Fatal(faults)
	}
	return s
}

// Rooms whose goals were measured off a hidden rig get them with no more units than that has: in 3 rooms, and
// in 20 with LAMPBLACK_LONG. What package show lets pass of a goal is 2 %. The rooms and their goals are of our
// own making, and so kinder than real ones.
func TestHiddenRigs(t *testing.T) {
	rooms := 3
	if os.Getenv("LAMPBLACK_LONG") != "" {
		rooms = 20
	}
	longest, most := time.Duration(0), time.Duration(0)
	for seed := range rooms {
		h := hide(t, uint64(seed))
		began, spent := time.Now(), checktest.Spent()
		p := find(t, h.files(h.bare, h.score), positions.Options{})
		took, work := time.Since(began), checktest.Spent()-spent
		longest, most = max(longest, took), max(most, work)
		t.Logf("room %d: %d units, %s, %.1f s, %.1f s of processors", seed, h.units, si.Count(len(p.Misses), "goal missed", "goals missed"), took.Seconds(), work.Seconds())
		for _, m := range p.Misses {
			t.Errorf("room %d, look %s: %s", seed, m.Look, m.Text)
		}
		if len(p.Spots) != h.units {
			t.Errorf("room %d: %d of %d units have a place", seed, len(p.Spots), h.units)
		}
		rulesKept(t, p)
	}
	t.Logf("the longest took %.1f s, the most work was %.1f s of processors", longest.Seconds(), most.Seconds())
}

// How hard that is: rigs hung by lot waste light, and most of their goals are met with a unit less.
func TestOneUnitLess(t *testing.T) {
	if os.Getenv("LAMPBLACK_LONG") == "" {
		t.Skip("a figure, for LAMPBLACK_LONG")
	}
	did := 0
	for seed := range 20 {
		h := hide(t, uint64(seed))
		if p := find(t, h.files(h.lessOne(), h.score), positions.Options{}); len(p.Misses) == 0 {
			did++
		}
	}
	t.Logf("with a unit less the goals are met in %d of 20", did)
}

// lessOne is the rig without the first of its units for visible light, of which there are two at least.
func (h *hidden) lessOne() string {
	lines := strings.Split(h.bare, "\n")
	return strings.Join(append(lines[:1:1], lines[2:]...), "\n")
}
