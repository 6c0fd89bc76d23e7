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

// mostSteps bounds Newton's steps: a handful ends most problems. settled is the slope at which they rest.
const (
	mostSteps = 40
	settled   = 1e-7
)

// descent is one problem being solved.
type descent struct {
	lines  []line
	x      []float64
	top    float64
	values []float64 // by line
	slope  []float64 // half of it, by unknown
	bend   []float64 // n×n, half of the second derivatives
	free   []int     // unknowns that are not held by 0 or top; none at the least
}

// solve brings x, whose start matters only to the time it takes, to the least sum over 0 ≤ x ≤ top and returns
// that sum: by Newton's steps on the rows that count, held inside the box (Bertsekas, SIAM J. Control Optim. 20,
// 221, 1982, from memory). The light's own weight keeps the problem strictly convex.
func solve(lines []line, x []float64, top float64) float64 {
	n := len(x)
	d := &descent{lines: lines, x: x, top: top, values: make([]float64, len(lines)), slope: make([]float64, n), bend: make([]float64, n*n)}
	sum := d.at(x)
	for range mostSteps {
		if d.derive(); len(d.free) == 0 {
			break
		}
		next, fell := d.step(sum)
		if !fell {
			break
		}
		sum = d.at(next)
		copy(x, next)
	}
	return sum
}

// at is the sum at x, with the values of all rows there.
func (d *descent) at(x []float64) (sum float64) {
	for _, v := range x {
		sum += leastLight * v * v
	}
	for i := range d.lines {
		l := &d.lines[i]
		v := l.given
		for j, g := range l.gain {
			v += g * x[j]
		}
		d.values[i] = v
		o := l.off(v)
		sum += l.weight * o * o
	}
	return sum
}

// derive works out slope and bend where the values are, and which unknowns are free to move.
func (d *descent) derive() {
	n := len(d.x)
	clear(d.bend)
	for j, v := range d.x {
		d.slope[j], d.bend[j*n+j] = leastLight*v, leastLight
	}
	for i := range d.lines {
		l := &d.lines[i]
		o := l.off(d.values[i])
		if o == 0 && l.sense != exactly {
			continue
		}
		for j, g := range l.gain {
			if g == 0 {
				continue
			}
			d.slope[j] += l.weight * g * o
			for k := range j + 1 {
				d.bend[j*n+k] += l.weight * g * l.gain[k]
			}
		}
	}
	d.free = d.free[:0]
	steepest := 0.0
	for j, v := range d.x {
		if s := d.slope[j]; !(v <= 0 && s >= 0) && !(v >= d.top && s <= 0) {
			d.free = append(d.free, j)
			steepest = max(steepest, math.Abs(s))
		}
	}
	if steepest <= settled {
		d.free = d.free[:0]
	}
}

// step is where Newton's step leads; where the box bends that so that nothing is gained, one down the slope,
// which gains always. It is false at the least.
func (d *descent) step(sum float64) (next []float64, fell bool) {
	if next, fell = d.along(d.newton(), sum); fell {
		return next, true
	}
	down := make([]float64, len(d.free))
	for i, j := range d.free {
		down[i] = -d.slope[j] / d.bend[j*len(d.x)+j]
	}
	return d.along(down, sum)
}

// along goes a way, shortened until the sum falls.
func (d *descent) along(way []float64, sum float64) (next []float64, fell bool) {
	next = make([]float64, len(d.x))
	for length := 1.; length > 1e-6; length /= 2 {
		copy(next, d.x)
		gain := 0.0
		for i, j := range d.free {
			next[j] = min(max(d.x[j]+length*way[i], 0), d.top)
			gain += 2 * d.slope[j] * (d.x[j] - next[j])
		}
		if now := d.at(next); now < sum-1e-4*gain && now < sum*(1-1e-9) {
			return next, true
		}
	}
	return nil, false
}

// newton solves bend · way = -slope for the free unknowns, by Cholesky's factors.
func (d *descent) newton() []float64 {
	m, n := len(d.free), len(d.x)
	low, way := make([]float64, m*m), make([]float64, m)
	for i, a := range d.free {
		for k, b := range d.free[:i+1] {
			v := d.bend[max(a, b)*n+min(a, b)]
			for q := range k {
				v -= low[i*m+q] * low[k*m+q]
			}
			if i == k {
				low[i*m+i] = math.Sqrt(max(v, 1e-12))
			} else {
				low[i*m+k] = v / low[k*m+k]
			}
		}
		v := -d.slope[a]
		for q := range i {
			v -= low[i*m+q] * way[q]
		}
		way[i] = v / low[i*m+i]
	}
	for i := m - 1; i >= 0; i-- {
		for q := i + 1; q < m; q++ {
			way[i] -= low[q*m+i] * way[q]
		}
		way[i] /= low[i*m+i]
	}
	return way
}
