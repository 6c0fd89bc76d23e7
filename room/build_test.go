package room_test

import (
	"context"
	"fmt"
	"strings"
	"testing"

	"lampblack/light"
	"lampblack/rig"
	"lampblack/room"
	"lampblack/source"
)

// kind is the text of a fixture type.
func kind(t testing.TB, id, text string) source.Entry[*rig.Type] {
	t.Helper()
	k, faults := rig.ReadType(id, "fixtures/"+id+".yaml", []byte(text))
	if err := faults.Err(); err != nil {
		t.Fatal(err)
	}
	return source.Entry[*rig.Type]{Name: id, Value: k}
}

// hang reads the text of a rig.
func hang(t testing.TB, text string, kinds ...source.Entry[*rig.Type]) *rig.Rig {
	t.Helper()
	r, faults := rig.Read("rig.yaml", []byte(text), kinds)
	if err := faults.Err(); err != nil {
		t.Fatal(err)
	}
	return r
}

func read(t testing.TB, text string) *room.Room {
	t.Helper()
	r, faults := room.Read("room.yaml", []byte(text))
	if err := faults.Err(); err != nil {
		t.Fatal(err)
	}
	return r
}

func solve(t testing.TB, r *room.Room, rg *rig.Rig, f room.Fineness) *room.Transport {
	t.Helper()
	tr, faults := r.SolveAt(context.Background(), rg, f)
	if err := faults.Err(); err != nil {
		t.Fatal(err)
	}
	return tr
}

// spot is a point-like unit of one emitter.
func spot(t testing.TB, id, output, half string) source.Entry[*rig.Type] {
	return kind(t, id, fmt.Sprintf(`
name: test spot
beam: {half: %s}
emitters:
  lime: {peak: 555 nm, width: 20 nm, output: %s}
modes:
  one: {1: {drives: lime}}
`, half, output))
}

// square is a lamp of 926.1 cd on its axis (TestInverseSquareAndCosine), whose lens is 0.04 m2.
func square(t testing.TB) source.Entry[*rig.Type] {
	return kind(t, "square", `
name: square
size: [0.2 m, 0.2 m, 0.1 m]
lens: [0.2 m, 0.2 m]
beam: {half: 60°, shape: cosine power}
emitters:
  lime: {peak: 555 nm, width: 20 nm, output: 1000 lm}
modes:
  one: {1: {drives: lime}}
`)
}

// full is every drive at full.
func full(rg *rig.Rig) []float32 {
	levels := make([]float32, len(rg.Drives))
	for i := range levels {
		levels[i] = 1
	}
	return levels
}

// black is a room without reflection.
const black = `
materials: {nothing: {reflects: 0}}
walls: nothing
floor: nothing
ceiling: nothing
`

func faultsOf(t *testing.T, text string) string {
	t.Helper()
	_, faults := room.Read("room.yaml", []byte(text))
	return strings.TrimSpace(faults.Error())
}

func anyPaint() string { return "fluorescent yellow-green" }

// reflectanceAt is the reflectance of a place.
func reflectanceAt(tr *room.Transport, r *room.Room, p *room.Place) light.Spectrum {
	if p.Panel < 0 {
		return light.Spectrum{}
	}
	name := r.Walls.Name
	switch p.Kind {
	case room.KindWall:
		switch p.Name {
		case room.FloorName:
			name = r.Floor.Name
		case room.CeilingName:
			name = r.Ceiling.Name
		}
	case room.KindBox:
		name = r.Boxes.Get(p.Name).Material.Name
	case room.KindSurface:
		name = r.Surfaces.Get(p.Name).Material.Name
	case room.KindObject:
		name = "black cloth"
		if !tr.Panels[p.Panel].Back {
			paint, _ := light.PaintNamed(r.Objects.Get(p.Name).Paint.Name)
			return paint.Reflectance
		}
	}
	m, _ := r.Reflectance(name)
	return m
}
