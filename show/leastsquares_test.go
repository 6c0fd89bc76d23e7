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
