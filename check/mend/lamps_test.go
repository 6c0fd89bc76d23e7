package mend

import (
	"math"
	"testing"
	"testing/fstest"

	"pgregory.net/rapid"

	"lampblack/rig"
	"lampblack/show"
)

// A lamp that is turned away from an eye points so much farther from it, and as far as before.
func TestAway(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		axis := rapid.Float64Range(-3, 3)
		v := func(name string) vector {
			return vector{axis.Draw(t, name), axis.Draw(t, name), axis.Draw(t, name)}
		}
		from, eye := v("from"), v("eye")
		if from.size() < .1 || eye.size() < .1 {
			return
		}
		between := func(a, b vector) float64 { return math.Acos(min(max(a.dot(b)/a.size()/b.size(), -1), 1)) }
		was := between(from, eye)
		if was < .05 || was > math.Pi-.5 {
			return
		}
		angle := rapid.Float64Range(.05, .35).Draw(t, "angle")
		to, ok := away(from, eye, angle)
		if !ok || math.Abs(to.size()-from.size()) > 1e-9 || math.Abs(between(to, eye)-was-angle) > 1e-6 {
			t.Fatalf("turned by %g from %v it points to %v: %g off, and was %g", angle, from, to, between(to, eye), was)
		}
	})
	if _, ok := away(vector{0, 1, 0}, vector{0, 2, 0}, .1); ok {
		t.Error("a lamp that looks straight into the eye has no side to turn to")
	}
}

// A unit moves along what it is on, and no farther: on a bar between the outermost units, on a tree up and
// down, on nothing not at all.
func TestAlong(t *testing.T) {
	text := `units:
  - {unit: a, type: black light flood, address: 1, at: [-1 m, 0 m, 3 m], on: bar}
  - {unit: b, type: black light flood, address: 2, at: [0.5 m, 0 m, 3 m], on: bar}
  - {unit: c, type: black light flood, address: 3, at: [2 m, 0 m, 3 m], on: bar}
  - {unit: d, type: black light flood, address: 4, at: [3 m, 1 m, 1.5 m], on: tree}
  - {unit: e, type: black light flood, address: 5, at: [3 m, 2 m, 0 m]}
supports:
  bar: {kind: bar, height: 3 m}
  tree: {kind: tree, height: 2.5 m}
`
	r, faults := rig.Read(show.RigFile, []byte(text), nil)
	if faults.Err() != nil {
		t.Fatal(faults)
	}
	m := &mending{show: &show.Show{Rig: r}, dir: fstest.MapFS{}}
	for _, c := range []struct {
		unit int
		eye  vector
		by   float64
		want string
	}{
		{1, vector{1, 3, 1.5}, .6, "[-0.1 m, 0 m, 3 m]"},
		{1, vector{0, 3, 1.5}, .6, "[1.1 m, 0 m, 3 m]"},
		{1, vector{1, 3, 1.5}, 1.6, "-"}, // there the bar has ended
		{0, vector{0, 3, 1.5}, .3, "-"},  // it is the outermost, and all else is nearer
		{3, vector{3, 3, 1.2}, .6, "[3 m, 1 m, 2.1 m]"},
		{3, vector{3, 3, 1.2}, 1.2, "-"}, // higher than the tree
		{4, vector{0, 3, 1.2}, .3, "-"},
	} {
		got := "-"
		if p, ok := m.along(c.unit, c.eye, c.by); ok {
			got = point(p)
		}
		if got != c.want {
			t.Errorf("unit %d from %v by %g m: %s, want %s", c.unit, c.eye, c.by, got, c.want)
		}
	}
}
