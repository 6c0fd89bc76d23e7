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

// choice is a solution.
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
// Lagrangian relaxation of "every client is served once" (Narula, Ogbu and
// Samuelsson 1977, from memory); upper bounds from its candidates and from
// exchanges of single candidates (Teitz and Bart 1968, from memory).
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

// serve gives every client its best chosen candidate.
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

// greedy adds the candidate that helps most until k are chosen.
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

// exchange swaps single candidates while that helps.
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

// State of a candidate in a node.
const (
	open int8 = iota
	in
	out
)

// search is the branch and bound.
type search struct {
	*median
	best  choice
	state []int8
	nodes int
}

// node bounds the subproblem of the present states from below, branches when
// it must, and returns a bound on all that is inside it.
func (s *search) node(prices []float64, depth int) float64 {
	s.nodes++
	bound, worth, prices := s.descend(slices.Clone(prices), depth)
	if bound >= s.best.total-closeEnough*(1+s.best.total) || s.nodes > maxNodes || depth > 60 {
		return bound
	}
	j := s.branch(worth)
	if j < 0 {
		return bound
	}
	lowest := math.Inf(1)
	for _, state := range []int8{in, out} {
		s.state[j] = state
		lowest = min(lowest, s.node(prices, depth+1))
	}
	s.state[j] = open
	return max(bound, lowest)
}

// branch picks the open candidate whose worth is nearest to the edge between
// chosen and not.
func (s *search) branch(worth []float64) int {
	left := s.left()
	if left <= 0 {
		return -1
	}
	var opens []int
	for j, state := range s.state {
		if state == open {
			opens = append(opens, j)
		}
	}
	if len(opens) == 0 {
		return -1
	}
	slices.SortFunc(opens, func(a, b int) int { return sign(worth[a] - worth[b]) })
	return opens[min(left, len(opens))-1]
}

// left returns how many open candidates may still be chosen.
func (s *search) left() int {
	left := s.k
	for j, state := range s.state {
		if state == in && !s.isFree(j) {
			left--
		}
	}
	return left
}

func sign(x float64) int {
	switch {
	case x < 0:
		return -1
	case x > 0:
		return 1
	}
	return 0
}

// descend raises the lower bound by moving the prices along subgradients, and
// tries each relaxed choice as a real one.
func (s *search) descend(prices []float64, depth int) (bound float64, worth, best []float64) {
	steps, scale := descentSteps, 1.5
	if depth > 0 {
		steps, scale = 60, .6
	}
	bound = math.Inf(-1)
	best = slices.Clone(prices)
	stale := 0
	for range steps {
		value, chosen, w := s.relax(prices)
		if value > bound {
			bound, worth, stale = value, w, 0
			copy(best, prices)
		} else if stale++; stale > 12 {
			scale, stale = scale/2, 0
			copy(prices, best)
		}
		if c := s.serve(chosen); c.total < s.best.total {
			s.exchange(&c)
			s.best = c
		}
		if bound >= s.best.total-closeEnough*(1+s.best.total) || scale < 1e-4 {
			break
		}
		if !s.step(prices, chosen, scale, value) {
			break
		}
	}
	return bound, worth, best
}

// relax solves the relaxed problem at the prices: a candidate's worth is what
// it saves over them.
func (s *search) relax(prices []float64) (value float64, chosen []int, worth []float64) {
	worth = make([]float64, s.candidates())
	for i, row := range s.cost {
		value += prices[i]
		for j, c := range row {
			if d := c - prices[i]; d < 0 {
				worth[j] += d
			}
		}
	}
	var opens []int
	for j, state := range s.state {
		switch state {
		case in:
			value += worth[j]
			chosen = append(chosen, j)
		case open:
			opens = append(opens, j)
		}
	}
	slices.SortStableFunc(opens, func(a, b int) int { return sign(worth[a] - worth[b]) })
	for _, j := range opens[:min(max(s.left(), 0), len(opens))] {
		value += worth[j]
		chosen = append(chosen, j)
	}
	return value, chosen, worth
}

// step moves each price by how often its client is served too seldom or too
// often; it returns false when every client is served once.
func (s *search) step(prices []float64, chosen []int, scale, value float64) bool {
	direction := make([]float64, len(prices))
	norm := 0.0
	for i, row := range s.cost {
		direction[i] = 1
		for _, j := range chosen {
			if row[j] < prices[i] {
				direction[i]--
			}
		}
		norm += direction[i] * direction[i]
	}
	if norm == 0 {
		return false
	}
	size := scale * (min(s.best.total, unserved) - value) / norm
	for i := range prices {
		prices[i] = max(0, prices[i]+size*direction[i])
	}
	return true
}
