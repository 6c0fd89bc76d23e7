package room_test

import (
	"context"
	"fmt"
	"runtime"
	"strings"
	"testing"

	"lampblack/check/checktest"
	"lampblack/rig"
	"lampblack/room"
)

// hall is a room of the size that the speed is stated for: a village hall
// with a stage, drapes, boxes that stand in the way, painted objects, and
// twelve seats and four performers.
const hall = `
size: [10 m, 16 m, 5 m]
stage front: 10 m
walls: cream plaster
floor: wood floor
ceiling: painted plaster white
surfaces:
  backdrop: {material: black velvet, centre: [0 m, 5 m, 2 m], width: 7 m, height: 4 m, faces: [0 m, -1 m, 0 m]}
  left leg: {material: black cloth, centre: [-3.2 m, 2 m, 1.75 m], width: 1.2 m, height: 3.5 m, faces: [0 m, -1 m, 0 m]}
  right leg: {material: black cloth, centre: [3.2 m, 2 m, 1.75 m], width: 1.2 m, height: 3.5 m, faces: [0 m, -1 m, 0 m]}
  stage floor: {material: black dance floor, centre: [0 m, 2.5 m, 0.01 m], width: 8 m, height: 5 m, faces: [0 m, 0 m, 1 m]}
boxes:
  playboard: {centre: [0 m, 0.6 m, 0.55 m], size: [4 m, 0.3 m, 1.1 m], material: black cloth}
  rostrum: {centre: [2 m, 3.5 m, 0.2 m], size: [2 m, 1 m, 0.4 m], material: dark wood}
objects:
  fish: {paint: PAINT, centre: [0 m, 1.5 m, 1.6 m], width: 0.6 m, height: 0.4 m, faces: [0 m, -1 m, 0 m], background: backdrop}
  boat: {paint: PAINT, centre: [-1.5 m, 2 m, 1.4 m], width: 1.5 m, height: 0.5 m, faces: [0 m, -1 m, 0 m], background: backdrop}
  moon: {paint: PAINT, centre: [2 m, 4.5 m, 3 m], width: 0.7 m, height: 0.7 m, faces: [0 m, -1 m, 0 m], background: backdrop}
audience:
  - {at: [-3 m, -2 m, 1.1 m]}
  - {at: [0 m, -2 m, 1.1 m]}
  - {at: [3 m, -2 m, 1.1 m]}
  - {at: [-3 m, -4 m, 1.15 m]}
  - {at: [0 m, -4 m, 1.15 m]}
  - {at: [3 m, -4 m, 1.15 m]}
  - {at: [-3 m, -6 m, 1.2 m]}
  - {at: [0 m, -6 m, 1.2 m]}
  - {at: [3 m, -6 m, 1.2 m]}
  - {at: [-3 m, -8 m, 1.2 m]}
  - {at: [0 m, -8 m, 1.2 m]}
  - {at: [3 m, -8 m, 1.2 m]}
performers:
  - {at: [-1 m, 1.2 m, 1.6 m]}
  - {at: [0 m, 1.2 m, 1.6 m]}
  - {at: [1 m, 1.2 m, 1.6 m]}
  - {at: [2 m, 3 m, 1.7 m]}
`

func theHall(t testing.TB) *room.Room {
	return read(t, strings.ReplaceAll(hall, "PAINT", anyPaint()))
}

// bars is a rig of n bars of six cells and five emitters, each emitter of
// each cell on a slot of its own.
func bars(t testing.TB, n int) *rig.Rig {
	var mode, units strings.Builder
	slot := 1
	for cell := 1; cell <= 6; cell++ {
		for _, e := range []string{"red", "green", "blue", "white", "uv"} {
			fmt.Fprintf(&mode, "    %d: {drives: %s, cell: %d}\n", slot, e, cell)
			slot++
		}
	}
	bar := kind(t, "bar", `
name: bar of six cells
size: [1 m, 0.09 m, 0.12 m]
cells: 6
beam: {half: 40°, tenth: 72°}
emitters:
  red: {peak: 625 nm, width: 18 nm, output: 2 W}
  green: {peak: 520 nm, width: 33 nm, output: 1.4 W}
  blue: {peak: 455 nm, width: 20 nm, output: 2.4 W}
  white: {like: phosphor 6500 K, output: 520 lm}
  uv: {peak: 397 nm, width: 13 nm, output: 4.2 W ± 40 %}
modes:
  all:
`+mode.String())
	for i := range n {
		x := -3.5 + 7*float64(i%6)/5
		switch {
		case i%12 < 6:
			fmt.Fprintf(&units, "  - {unit: top %d, type: bar, universe: %d, address: 1, at: [%.2f m, 1 m, 4.2 m], aim: [%.2f m, 3 m, 1 m]}\n", i, i+1, x, x/2)
		default:
			fmt.Fprintf(&units, "  - {unit: foot %d, type: bar, universe: %d, address: 1, at: [%.2f m, 0.1 m, 0.15 m], aim: [%.2f m, 3 m, 2 m]}\n", i, i+1, x, x)
		}
	}
	return hang(t, "units:\n"+units.String(), bar)
}

// BenchmarkSolve is the transport of 12 units of 6 cells and 5 emitters, each
// a drive of its own, with inter-reflection; and how it grows.
func BenchmarkSolve(b *testing.B) {
	for _, c := range []struct{ units, patches, elements int }{
		{12, 4000, 700}, {3, 4000, 700}, {6, 4000, 700}, {24, 4000, 700}, {64, 4000, 700},
		{12, 500, 700}, {12, 1000, 700}, {12, 2000, 700}, {12, 8000, 700}, {12, 4000, 350}, {12, 4000, 1400},
	} {
		b.Run(fmt.Sprintf("units=%d/patches=%d/elements=%d", c.units, c.patches, c.elements), func(b *testing.B) {
			r, rg := theHall(b), bars(b, c.units)
			var tr *room.Transport
			var before, after runtime.MemStats
			worked := -checktest.Spent()
			runs := 0
			for b.Loop() {
				runs++
				runtime.ReadMemStats(&before)
				tr, _ = r.SolveAt(context.Background(), rg, room.Fineness{Patches: c.patches, Elements: c.elements})
				runtime.ReadMemStats(&after)
			}
			worked += checktest.Spent()
			b.ReportMetric(worked.Seconds()/float64(runs), "cpu-s/op")
			b.ReportMetric(float64(len(tr.Places)), "places")
			b.ReportMetric(float64(after.TotalAlloc-before.TotalAlloc)/(1<<20), "MB-allocated")
			b.ReportMetric(float64(after.HeapAlloc)/(1<<20), "MB-heap")
		})
	}
}

// BenchmarkPicture is the whole room from the levels of 360 drives, all on.
func BenchmarkPicture(b *testing.B) {
	for _, patches := range []int{1000, 4000, 8000} {
		b.Run(fmt.Sprintf("patches=%d", patches), func(b *testing.B) {
			r, rg := theHall(b), bars(b, 12)
			tr, _ := r.SolveAt(context.Background(), rg, room.Fineness{Patches: patches, Elements: 300})
			p, levels := tr.NewPicture(), full(rg)
			b.ReportAllocs()
			for b.Loop() {
				tr.Picture(p, levels)
			}
			b.ReportMetric(float64(len(tr.Places)), "places")
		})
	}
}
