package desk

import (
	"math"
	"slices"
)

// median is a p-median problem: choose at most k of the candidates so that the
// sum over clients of the cost of each one's best chosen candidate is least.
// Candidates marked free are always there and do not count.
type median struct {
	cost [][]float64 // [client][candidate]; infinite where it must not be
	k    int
	free []bool
}

// choice is a solution. total and bound together tell how good it is: where they are
// equal, it is proven best.
type choice struct {
	chosen []int   // candidates, ascending, the free ones among them
	of     []int   // by client: the candidate that serves it
	total  float64 // cost
	bound  float64 // no choice costs less
}

// Effort of the search. At these sizes (up to a few hundred) the bound closes
// at the root or after some nodes; what is left open is reported by the bound.
const (
	descentSteps = 300
	maxNodes     = 400
	closeEnough  = 1e-6
)

// solve finds the best choice by branch and bound. Lower bounds come from the
// Lagrangian relaxation of "every client is served once" (Narula, Ogbu and Samuelsson
// 1977, from memory); upper bounds from its candidates and from exchanges of single
// candidates (Teitz and Bart 1968, from memory). A greedy choice improved by exchanges
// is mostly the best already; what takes the time is the proof.
func (m *median) solve() choice {
	best := m.serve(m.greedy())
	m.exchange(&best)
	s := &search{median: m, best: best, state: make([]int8, m.candidates())}
	for j := range s.state {
		if m.isFree(j) {
			s.state[j] = in
		}
	}
	prices := make([]float64, len(m.cost))
	for i, row := range m.cost {
		prices[i] = second(row)
	}
	s.best.bound = s.node(prices, 0)
	s.best.bound = min(s.best.bound, s.best.total)
	return s.best
}

func (m *median) candidates() int {
	if len(m.cost) == 0 {
		return 0
	}
	return len(m.cost[0])
}

func (m *median) isFree(j int) bool { return m.free != nil && m.free[j] }

// second returns the second smallest finite cost of a row: a price at which a
// client is worth serving by its best candidate alone.
func second(row []float64) float64 {
	a, b := math.Inf(1), math.Inf(1)
	for _, c := range row {
		if c < a {
			a, b = c, a
		} else if c < b {
			b = c
		}
	}
	if math.IsInf(b, 1) {
		return a
	}
	return b
}

// serve gives every client its best chosen candidate. Of two as cheap the one that
// comes first serves.
func (m *median) serve(chosen []int) choice {
	c := choice{chosen: slices.Clone(chosen), of: make([]int, len(m.cost))}
	slices.Sort(c.chosen)
	for i, row := range m.cost {
		best := math.Inf(1)
		for _, j := range c.chosen {
			if row[j] < best || (c.of[i] != j && best == row[j] && !slices.Contains(c.chosen, c.of[i])) {
				best, c.of[i] = row[j], j
			}
		}
		c.total += best
	}
	return c
}

// greedy adds the candidate that helps most until k are chosen. The first is the one
// that serves all at the least cost, since a client that nobody serves costs unserved.
func (m *median) greedy() []int {
	var chosen []int
	now := make([]float64, len(m.cost))
	for i := range now {
		now[i] = math.Inf(1)
	}
	take := func(j int) {
		chosen = append(chosen, j)
		for i, row := range m.cost {
			now[i] = min(now[i], row[j])
		}
	}
	for j := range m.candidates() {
		if m.isFree(j) {
			take(j)
		}
	}
	for range min(m.k, m.candidates()-len(chosen)) {
		best, gain := -1, -1.0
		for j := range m.candidates() {
			if slices.Contains(chosen, j) {
				continue
			}
			if g := m.gain(now, j); g > gain {
				best, gain = j, g
			}
		}
		if best < 0 {
			break
		}
		take(best)
	}
	return chosen
}

// unserved stands for the cost of a client that nothing serves, so that gains
// stay comparable.
const unserved = 1e12

func (m *median) gain(now []float64, j int) float64 {
	gain := 0.0
	for i, row := range m.cost {
		gain += max(0, min(now[i], unserved)-min(row[j], unserved))
	}
	return gain
}

// exchange swaps single candidates while that helps. The sum falls by at least 1e-12
// with each swap, and there are finitely many choices, so it ends; it ends in a local
// optimum.
func (m *median) exchange(c *choice) {
	for better := true; better; {
		better = false
		for at := 0; at < len(c.chosen); at++ {
			if m.isFree(c.chosen[at]) {
				continue
			}
			for j := range m.candidates() {
				if slices.Contains(c.chosen, j) {
					continue
				}
				try := slices.Clone(c.chosen)
				try[at] = j
				if n := m.serve(try); n.total < c.total-1e-12 {
					*c, better = n, true
					break
				}
			}
		}
	}
}
