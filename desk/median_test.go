package desk

import (
	"math"
	"math/bits"
	"math/rand/v2"
	"testing"
)

// enumerate tries every choice.
func enumerate(m *median) float64 {
	n := m.candidates()
	best := math.Inf(1)
	for set := range uint(1) << n {
		if bits.OnesCount(set) != m.k {
			continue
		}
		total := 0.0
		for _, row := range m.cost {
			least := math.Inf(1)
			for j := range n {
				if set>>j&1 == 1 {
					least = min(least, row[j])
				}
			}
			total += least
		}
		best = min(best, total)
	}
	return best
}

// randomMedian has points on a plane, or costs without any geometry, which is
// harder.
func randomMedian(rnd *rand.Rand, n, k int) *median {
	m := &median{k: k, cost: make([][]float64, n)}
	x, y, weight := make([]float64, n), make([]float64, n), make([]float64, n)
	for i := range n {
		x[i], y[i], weight[i] = rnd.Float64(), rnd.Float64(), .2+rnd.Float64()
	}
	plane := rnd.IntN(3) > 0
	for i := range n {
		m.cost[i] = make([]float64, n)
		for j := range n {
			d := rnd.Float64()
			if plane {
				d = math.Hypot(x[i]-x[j], y[i]-y[j])
			}
			if i != j {
				m.cost[i][j] = d * weight[i]
			}
		}
	}
	return m
}

// Equal to enumeration, and the bound is below it.
func TestMedianAgainstEnumeration(t *testing.T) {
	rnd := rand.New(rand.NewPCG(1, 2))
	open := 0
	for round := range 300 {
		n := 5 + rnd.IntN(9)
		m := randomMedian(rnd, n, 1+rnd.IntN(n-1))
		want := enumerate(m)
		got := m.solve()
		if math.Abs(got.total-want) > 1e-9 {
			t.Errorf("round %d: n %d, k %d: cost %v, the best is %v", round, n, m.k, got.total, want)
		}
		if got.bound > want+1e-9 {
			t.Errorf("round %d: the bound %v is above the best %v", round, got.bound, want)
		}
		if got.bound < want-1e-5 {
			open++
		}
	}
	t.Logf("300 problems, bound not closed in %d", open)
}

func TestMedianHoldsItsRules(t *testing.T) {
	inf := math.Inf(1)
	m := &median{k: 1, free: []bool{true, false, false}, cost: [][]float64{{5, 0, 2}, {0, 9, 9}, {inf, 1, 0}}}
	got := m.solve()
	if got.total != 1 || len(got.chosen) != 2 || got.of[1] != 0 {
		t.Errorf("got %+v, want cost 1 with the free candidate and the second", got)
	}
}

func BenchmarkMedian(b *testing.B) {
	rnd := rand.New(rand.NewPCG(3, 4))
	m := randomMedian(rnd, 60, 24)
	gap := 0.0
	for b.Loop() {
		c := m.solve()
		gap = (c.total - c.bound) / c.total
	}
	b.ReportMetric(100*gap, "%gap")
}
