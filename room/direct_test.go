package room_test

import (
	"math"
	"testing"

	"lampblack/room"
)

func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance*math.Abs(want)) {
		t.Errorf("%s: got %.6g, want %.6g within %.2g %%", what, got, want, 100*tolerance)
	}
}

// Inverse-square and cosine law, E = I cosθ/d² (IES definition 9.1.2), for a
// unit of 1000 lm whose 60° cosine beam has 926.1 cd on its axis (n = 4.819,
// I0 = Φ(n+1)/2π).
func TestInverseSquareAndCosine(t *testing.T) {
	rg := hang(t, `
units:
  - {unit: a, type: spot, address: 1, at: [0 m, -5 m, 2 m], aim: [0 m, 0 m, 2 m]}
`, spot(t, "spot", "1000 lm", "60°"))
	r := read(t, black+`
size: [20 m, 20 m, 4 m]
stage front: 10 m
audience:
  - {name: half, at: [0 m, -4.5 m, 2 m], looks at: [0 m, -5 m, 2 m]}
  - {name: one, at: [0 m, -4 m, 2 m], looks at: [0 m, -5 m, 2 m]}
  - {name: two, at: [0 m, -3 m, 2 m], looks at: [0 m, -5 m, 2 m]}
  - {name: five, at: [0 m, 0 m, 2 m], looks at: [0 m, -5 m, 2 m]}
  - {name: turned, at: [0 m, -3 m, 2 m], looks at: [1 m, -4 m, 2 m]}
  - {name: aside, at: [0 m, -3 m, 2 m], looks at: [1 m, -3 m, 2 m]}
  - {name: off axis, at: [1 m, -4 m, 2 m], looks at: [0 m, -5 m, 2 m]}
`)
	tr := solve(t, r, rg, room.Fineness{Patches: 200, Elements: 30})
	const peak = 926.1
	for _, c := range []struct {
		eye  string
		want float64
	}{
		{"half", peak / .25}, {"one", peak}, {"two", peak / 4}, {"five", peak / 25},
		{"turned", peak / 4 * math.Cos(math.Pi/4)},
		{"off axis", peak * math.Pow(math.Cos(math.Pi/4), 4.819) / 2},
	} {
		near(t, c.eye, float64(tr.Lux(c.eye, full(rg))), c.want, 2e-4)
	}
	if e := tr.Lux("aside", full(rg)); e > 1e-3*peak {
		t.Errorf("light from the side on an eye that looks across it: %v", e)
	}
}
