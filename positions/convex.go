package positions

import "math"

// sense is on which sides of its bound a row may not be.
type sense uint8

const (
	exactly sense = iota
	atLeast
	atMost
)

// line is one row of the problem of a look: weight · miss², miss the distance of gain·x + given from its
// bound on the side that counts.
type line struct {
	sense  sense
	weight float64
	bound  float64
	given  float64   // by what is not sought
	gain   []float64 // by unknown
}

// off is by how much the row is missed at a value; 0 where it is met.
func (l *line) off(value float64) float64 {
	d := value - l.bound
	switch l.sense {
	case atLeast:
		return min(d, 0)
	case atMost:
		return max(d, 0)
	}
	return d
}

// leastLight is the weight of the light itself: of answers that serve alike the one with less is taken.
const leastLight = 1e-2

// sweeps bounds how often all unknowns are gone through; settled is the step at which they rest.
const (
	sweeps  = 60
	settled = 1e-4
)

// solve brings x, whose start matters only to the time it takes, to the least sum over 0 ≤ x ≤ top, one
// unknown after another, and returns that sum. The sum is convex with a continuous slope, so that coordinate
// descent ends at its least (Bertsekas, Nonlinear Programming, 2.7, from memory).
func solve(lines []line, x []float64, top float64) float64 {
	values := make([]float64, len(lines))
	for i := range lines {
		values[i] = lines[i].given
		for j, g := range lines[i].gain {
			values[i] += g * x[j]
		}
	}
	for range sweeps {
		most := 0.0
		for j := range x {
			step := best(lines, values, x[j], j, top) - x[j]
			if step == 0 {
				continue
			}
			for i := range lines {
				values[i] += lines[i].gain[j] * step
			}
			x[j] += step
			most = max(most, math.Abs(step))
		}
		if most < settled {
			break
		}
	}
	sum := 0.0
	for i := range lines {
		o := lines[i].off(values[i])
		sum += lines[i].weight * o * o
	}
	for _, v := range x {
		sum += leastLight * v * v
	}
	return sum
}

// best is the least point along one unknown. The slope rises with the unknown and is straight between the
// points where rows begin to count, so that Newton's steps end on it; a bracket holds them.
func best(lines []line, values []float64, now float64, j int, top float64) float64 {
	low, high, at := 0.0, top, now
	for range 12 {
		slope, bend := leastLight*at, leastLight
		for i := range lines {
			l := &lines[i]
			g := l.gain[j]
			if g == 0 {
				continue
			}
			if o := l.off(values[i] + g*(at-now)); o != 0 || l.sense == exactly {
				slope += l.weight * g * o
				bend += l.weight * g * g
			}
		}
		if slope > 0 {
			high = at
		} else {
			low = at
		}
		next := at - slope/bend
		if next < low || next > high {
			if next < 0 && low == 0 {
				next = 0
			} else if next > top && high == top {
				next = top
			} else {
				next = (low + high) / 2
			}
		}
		if math.Abs(next-at) < 1e-7 {
			return next
		}
		at = next
	}
	return at
}
