package draft

import (
	"cmp"
	"math"
	"slices"
)

// casting is the choice of a look for every label.
type casting struct {
	labels []string    // in the order in which they first come
	cost   [][]float64 // by label, then look: how badly it fits; infinite where it must not be
	beside [][]int     // how often two labels are neighbours
}

// Weights of what makes a casting good: fit is 1 for a look that is as dark as
// its section is loud.
const (
	sameBeside = .35 // two neighbours that look the same
	outOfOrder = .4  // a label after another whose look the score tells later
)

// mostCast bounds the nodes of the search, so that it ends for a score of very many
// labels too; Result.Proven then says no.
const mostCast = 300_000

// solve returns the best look for each label, and whether the search ran to
// its end. What labels cost alone and beside the one that comes before them is
// a chain, whose best end from any point on is known by dynamic programming;
// that is the bound of the search over what other neighbours cost.
//
//	cost = Σ fit(label) + Σ step(label, next) + Σ sameBeside of other neighbours
//
// The first two sums are the chain. What is left out of the bound is never negative, so
// the bound holds.
func (c *casting) solve() (looks []int, proven bool) {
	n := len(c.labels)
	s := &castSearch{casting: c, now: make([]int, n), best: make([]int, n), least: math.Inf(1), tail: make([][]float64, n)}
	for i := n - 1; i >= 0; i-- {
		s.tail[i] = make([]float64, len(c.cost[i]))
		for look := range s.tail[i] {
			s.tail[i][look] = s.onward(i, look)
		}
	}
	s.visit(0, 0)
	return s.best, s.nodes <= mostCast
}

type castSearch struct {
	*casting
	now, best []int
	least     float64
	tail      [][]float64 // by label, then its look: least cost of all labels behind it
	nodes     int
}

// onward is the least cost of all labels behind one that has a look, along the chain.
// It is called from the last label backwards, so the tail of the next one is there.
func (s *castSearch) onward(label, look int) float64 {
	if label+1 == len(s.labels) {
		return 0
	}
	least := math.Inf(1)
	for next, cost := range s.cost[label+1] {
		least = min(least, cost+s.step(label, look, next)+s.tail[label+1][next])
	}
	return least
}

// step is what the look of the label after another costs beside it. Looks are numbered
// as the score tells them, so one of a lower number comes out of order.
func (s *castSearch) step(label, look, next int) float64 {
	switch {
	case next == look:
		return sameBeside * float64(s.beside[label][label+1])
	case next < look:
		return outOfOrder
	}
	return 0
}

// visit casts the labels from one on, the looks that promise most first. Looks are
// tried by promise, so the first that cannot beat the best ends the loop: none behind
// it can. The slack keeps rounding from trying what is as good.
func (s *castSearch) visit(label int, cost float64) {
	if s.nodes++; s.nodes > mostCast {
		return
	}
	if label == len(s.labels) {
		s.least = cost
		copy(s.best, s.now)
		return
	}
	looks := make([]int, len(s.cost[label]))
	costs := make([]float64, len(looks))
	for look := range looks {
		looks[look] = look
		costs[look] = cost + s.cost[label][look] + s.with(label, look)
	}
	promise := func(look int) float64 { return costs[look] + s.tail[label][look] }
	slices.SortStableFunc(looks, func(a, b int) int { return cmp.Compare(promise(a), promise(b)) })
	for _, look := range looks {
		if !(promise(look) < s.least-1e-12) {
			return
		}
		s.now[label] = look
		s.visit(label+1, costs[look])
	}
}

// with is what a look for a label costs beside those that are cast already.
func (s *castSearch) with(label, look int) float64 {
	if label == 0 {
		return 0
	}
	cost := s.step(label-1, s.now[label-1], look)
	for before := range label - 1 {
		if s.now[before] == look {
			cost += sameBeside * float64(s.beside[before][label])
		}
	}
	return cost
}
