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
	outOfOrder = .25 // two labels that come in the order in which their looks do not
)

// mostCast bounds the nodes of the search.
const mostCast = 600_000

// solve returns the best look for each label, and whether the search ran to
// its end.
func (c *casting) solve() (looks []int, proven bool) {
	n := len(c.labels)
	s := &castSearch{casting: c, now: make([]int, n), best: make([]int, n), least: math.Inf(1)}
	for _, row := range c.cost {
		s.open = append(s.open, slices.Clone(row))
	}
	s.visit(0, 0)
	return s.best, s.nodes <= mostCast
}

type castSearch struct {
	*casting
	now, best []int
	least     float64
	open      [][]float64 // by label, then look: cost alone and beside all that is cast
	nodes     int
}

// visit casts the labels from one on, the looks that fit best first. No
// casting of the rest costs less than the sum of what each costs at least
// beside those that are cast.
func (s *castSearch) visit(label int, cost float64) {
	if s.nodes++; s.nodes > mostCast {
		return
	}
	if label == len(s.labels) {
		if cost < s.least-1e-12 {
			s.least = cost
			copy(s.best, s.now)
		}
		return
	}
	order := make([]int, len(s.open[label]))
	for look := range order {
		order[look] = look
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(s.open[label][a], s.open[label][b]) })
	for _, look := range order {
		c := cost + s.open[label][look]
		if math.IsInf(c, 1) {
			break
		}
		s.cast(label, look, 1)
		if c+s.rest(label+1) < s.least-1e-12 {
			s.now[label] = look
			s.visit(label+1, c)
		}
		s.cast(label, look, -1)
	}
}

func (s *castSearch) rest(label int) float64 {
	sum := 0.0
	for _, row := range s.open[label:] {
		sum += slices.Min(row)
	}
	return sum
}

// cast adds to the open costs what one look for a label means beside it, or
// takes that away again.
func (s *castSearch) cast(label, look int, sign float64) {
	for later := label + 1; later < len(s.labels); later++ {
		row := s.open[later]
		row[look] += sign * sameBeside * float64(s.beside[label][later])
		for other := range look {
			row[other] += sign * outOfOrder
		}
	}
}
