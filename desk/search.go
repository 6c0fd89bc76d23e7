package desk

import (
	"math"
	"slices"
)

// State of a candidate in a node.
const (
	open int8 = iota
	in
	out
)

// search is the branch and bound. state is by candidate, and set back by node when it
// returns. best is the best real choice so far, the upper bound.
type search struct {
	*median
	best  choice
	state []int8
	nodes int
}

// node bounds the subproblem of the present states from below, branches when
// it must, and returns a bound on all that is inside it.
//
// Invariant: what it returns is a lower bound on every choice that keeps the present
// states. A node that is cut off by effort returns its own relaxed bound, which is a
// bound all the same; the search then ends with a gap that the report tells.
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

// branch picks the open candidate whose worth is nearest to the edge between chosen and
// not. That is where the relaxation is least sure, so deciding it moves the bound most.
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

// descend raises the lower bound by moving the prices along subgradients, and tries
// each relaxed choice as a real one. After twelve steps without a better bound the step
// is halved and starts again from the best prices; below 1e-4 it is given up. The root
// gets 300 steps, other nodes 60, as they begin near their parent's prices.
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
//
// With prices p the relaxed problem falls apart by candidate:
//
//	L(p) = Σ pᵢ + Σ over chosen j of Σᵢ min(0, cᵢⱼ − pᵢ)
//
// and is least for the candidates of the lowest worth, as many as may be chosen. L(p)
// is below the cost of any choice, whatever the prices (Lagrangian duality).
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
//
// This is Polyak's step for subgradients (from memory): the gap over the squared length
// of the direction, times a scale that descend lowers. Prices below 0 help nobody, as
// costs are not below 0.
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
