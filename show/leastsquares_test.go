package show

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

// The answer must fulfil the conditions of Karush, Kuhn and Tucker, which are
// sufficient for a convex problem: inside all bounds, and no way to go on that
// is both allowed and downhill.
func TestLeastSquaresIsOptimal(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 12).Draw(t, "n")
		p := newLeastSquares(n)
		rows := rapid.SliceOfN(rapid.SliceOfN(rapid.Float64Range(0, 2), n, n), 1, 6).Draw(t, "rows")
		wants := rapid.SliceOfN(rapid.Float64Range(0, 2), len(rows), len(rows)).Draw(t, "wants")
		for i, row := range rows {
			p.want(row, wants[i], 1)
		}
		for i := range n {
			p.small(i, 1e-5)
		}
		limits := rapid.SliceOfN(rapid.SliceOfN(rapid.Float64Range(0, 1), n, n), 0, 5).Draw(t, "limits")
		for _, row := range limits {
			p.limit(row, rapid.Float64Range(.01, 2).Draw(t, "most"))
		}
		x, press := p.solve()
		for i, v := range x {
			if math.IsNaN(v) || v < 0 || v > 1 {
				t.Fatalf("x[%d] = %v", i, v)
			}
		}
		for k, row := range p.limits {
			if got := dot(row, x); got > p.most[k]+1e-6 {
				t.Fatalf("limit %d: %v over %v", k, got, p.most[k])
			}
		}
		for i := range x {
			slope := -p.f[i]
			for j, v := range x {
				slope += p.h[i*n+j] * v
			}
			for k, row := range p.limits {
				slope += row[i] * press[k]
			}
			const fine = 1e-5
			if x[i] > 1e-4 && slope > fine*10 || x[i] < 1-1e-4 && slope < -fine*10 {
				t.Fatalf("x[%d] = %v could be better: slope %v", i, x[i], slope)
			}
		}
		for k, row := range p.limits {
			if press[k] > 1e-4 && dot(row, x) < p.most[k]-1e-3 {
				t.Fatalf("limit %d presses with %v while slack", k, press[k])
			}
		}
	})
}

// This one went round in circles for ever: its last 80 steps came by the same
// five points.
func TestLeastSquaresEnds(t *testing.T) {
	p := newLeastSquares(2)
	wants := []float64{.0625, 1.9375, 1.21875, 1}
	for i, row := range [][]float64{{.25, 1.75}, {.03125, 1.125}, {1.5, 1.75}, {.03125, .125}} {
		p.want(row, wants[i], 1)
	}
	p.small(0, 1e-5)
	p.small(1, 1e-5)
	p.limit([]float64{1, 1}, 1)
	p.limit([]float64{.5, .03125}, .046875)
	x, _ := p.solve()
	if slope := p.h[0]*x[0] + p.h[1]*x[1] - p.f[0]; x[0] > 1e-4 && math.Abs(slope) > 1e-5 && dot(p.limits[1], x) < p.most[1]-1e-6 {
		t.Errorf("%v is not the least: slope %v", x, slope)
	}
	if x, press := newLeastSquares(0).solve(); x != nil || len(press) != 0 {
		t.Errorf("nothing to solve for gives %v, %v", x, press)
	}
}
