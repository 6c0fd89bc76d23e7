package seen

import (
	"context"
	"math"
	"slices"
	"time"
)

// Movement is light that moves by itself, over light that stands or fades.
type Movement struct {
	From, To time.Duration
	// Still and Full fill levels by drive, and by unit the rates in Hz at which units flash
	// by themselves: what there is without the movement, and with all of it. Both are
	// asked out of order; rates are zero when they are called, and those of Full count.
	Still, Full func(levels, rates []float32, at time.Duration)
}

const (
	// The light is asked for in steps of coarse, and of fine where a straight line over a
	// coarse one would be off by more than bent. The checks take steps of 1 ms; what
	// comes and goes within 8 ms is no light that a slot at 44 frames a second can make.
	coarse = 8 * time.Millisecond
	fine   = time.Millisecond
	bent   = .002 // of a drive's full light

	// A stretch is what is looked at at once, which bounds the memory; the next begins
	// shared before its end, so that a second of either lies whole in one of them.
	stretch = 2 * time.Minute
	shared  = 3 * time.Second
)

// sample is the light of a movement at one instant.
type sample struct {
	at                 time.Duration
	still, full, rates []float32
}

func (m *Movement) sample(e *Eyes, at time.Duration) sample {
	drives, units := len(e.rig.Drives), len(e.rig.Units)
	s := sample{at, make([]float32, drives), make([]float32, drives), make([]float32, units)}
	m.Still(s.still, s.rates, at)
	clear(s.rates)
	m.Full(s.full, s.rates, at)
	return s
}

// samples follows a movement from one instant to another. Where lines bend is told by the
// second differences of the coarse samples: a line misses a curve by at most an eighth of
// them, and a jump is in two of them.
func (m *Movement) samples(ctx context.Context, e *Eyes, from, to time.Duration) []sample {
	var grid []sample
	for at := from; at < to && ctx.Err() == nil; at += coarse {
		grid = append(grid, m.sample(e, at))
	}
	grid = append(grid, m.sample(e, to))
	bends := make([]bool, len(grid)) // at this sample
	for i := 1; i+1 < len(grid); i++ {
		a, b, c := &grid[i-1], &grid[i], &grid[i+1]
		bends[i] = secondDifference(a.still, b.still, c.still) > 8*bent || secondDifference(a.full, b.full, c.full) > 8*bent
	}
	out := grid[:1:1]
	for i := 1; i < len(grid); i++ {
		a, b := &grid[i-1], &grid[i]
		if ends := i == 1 || i == len(grid)-1; ends || bends[i-1] || bends[i] || !slices.Equal(a.rates, b.rates) {
			out = m.between(out, e, a, b)
		}
		out = append(out, *b)
	}
	return out
}

// between appends what lies between two samples that a straight line does not join.
func (m *Movement) between(out []sample, e *Eyes, a, b *sample) []sample {
	if b.at-a.at <= fine {
		return out
	}
	middle := m.sample(e, a.at+(b.at-a.at)/2)
	straight := secondDifference(a.still, middle.still, b.still) <= 2*bent && secondDifference(a.full, middle.full, b.full) <= 2*bent &&
		slices.Equal(a.rates, middle.rates) && slices.Equal(b.rates, middle.rates)
	if !straight {
		out = m.between(out, e, a, &middle)
	}
	out = append(out, middle)
	if !straight {
		out = m.between(out, e, &middle, b)
	}
	return out
}

// secondDifference is the greatest over all drives.
func secondDifference(a, b, c []float32) float32 {
	most := float32(0)
	for i, v := range b {
		if d := a[i] - 2*v + c[i]; d > most {
			most = d
		} else if -d > most {
			most = -d
		}
	}
	return most
}

// shape is how one or more drives go over a stretch, as a share of the most that any goes:
// the drives of a unit that is dimmed have one shape, and so have units that rise together.
type shape struct {
	values    []float32 // by sample
	moves     [][2]int  // from where to where it is not 0
	low, high []float32 // by window
	lo, hi    float32   // over all
}

// term is a share of a shape.
type term struct {
	shape int
	by    float32
}

// A window reaches over two seconds, and begins every quarter of one, so that any second
// and whatever straddles its ends lies in one.
const (
	windowLength = 2 * time.Second
	windowStep   = 250 * time.Millisecond
)

// motion is a stretch of a movement, as shares of shapes: the levels of drive d at factor f
// are still[d] + f · moved[d]. Shape 0 does not change.
type motion struct {
	times        []time.Duration
	shapes       []shape
	still, moved []term       // by drive
	tops         [2][]float32 // by drive: the most without and with the movement
	light        []sample     // for units that flash by themselves; nil where none does
	drives       [][]int      // by unit
	watts        []float64    // by drive: its share of its unit's full output
}

// motionOf finds the shapes of samples. ok is false where nothing moves.
func motionOf(e *Eyes, samples []sample) (m *motion, ok bool) {
	n := len(samples)
	m = &motion{shapes: []shape{{values: make([]float32, n)}}, times: make([]time.Duration, n)}
	for i := range samples {
		m.times[i], m.shapes[0].values[i] = samples[i].at, 1
		if m.light == nil && slices.ContainsFunc(samples[i].rates, func(r float32) bool { return r > 0 }) {
			m.light = samples
		}
	}
	var b block
	for d := range e.rig.Drives {
		if d%blockOf == 0 {
			b.fill(samples, d, len(e.rig.Drives))
		}
		still, moved := b.still[d%blockOf], b.moved[d%blockOf]
		var tops [2]float32
		for i, s := range still {
			tops[0], tops[1] = max(tops[0], s), max(tops[1], s+moved[i])
		}
		m.tops[0], m.tops[1] = append(m.tops[0], tops[0]), append(m.tops[1], tops[1])
		m.still = append(m.still, m.shapeOf(still))
		m.moved = append(m.moved, m.shapeOf(moved))
		ok = ok || m.moved[d].by != 0
	}
	for i := range m.shapes {
		m.shapes[i].measure(m.times)
	}
	m.drives, m.watts = make([][]int, len(e.rig.Units)), make([]float64, len(e.rig.Drives))
	for u := range e.rig.Units {
		from, _ := e.rig.UnitDrives(u)
		watts, whole := e.watts(u)
		for i, w := range watts {
			m.drives[u] = append(m.drives[u], from+i)
			m.watts[from+i] = w / max(whole, 1e-9)
		}
	}
	return m, ok
}

// block is some drives over time. Samples hold all drives of an instant, and lie far apart in
// memory: so as many are read from each at once as it has side by side.
type block struct {
	still, moved [blockOf][]float32
}

const blockOf = 16

// fill reads the drives from one on.
func (b *block) fill(samples []sample, from, drives int) {
	some := min(blockOf, drives-from)
	for k := range some {
		if b.still[k] == nil {
			b.still[k], b.moved[k] = make([]float32, len(samples)), make([]float32, len(samples))
		}
	}
	for i := range samples {
		still, full := samples[i].still[from:from+some], samples[i].full[from:from+some]
		for k, s := range still {
			b.still[k][i], b.moved[k][i] = s, full[k]-s
		}
	}
}

// alike is how far two shapes may differ and be one, as a share of their most.
const alike = 1e-4

// shapeOf finds a shape that values are a share of, or makes one.
func (m *motion) shapeOf(values []float32) term {
	most := 0
	for i, v := range values {
		if math.Abs(float64(v)) > math.Abs(float64(values[most])) {
			most = i
		}
	}
	by := values[most]
	if math.Abs(float64(by)) < 1e-6 {
		return term{}
	}
	for k := range m.shapes {
		if s := m.shapes[k].values; same(s, values, by) {
			return term{k, by}
		}
	}
	s := make([]float32, len(values))
	for i, v := range values {
		s[i] = v / by
	}
	m.shapes = append(m.shapes, shape{values: s})
	return term{len(m.shapes) - 1, by}
}

func same(shape, values []float32, by float32) bool {
	near := float32(math.Abs(float64(by))) * alike
	for i, v := range values {
		if d := v - by*shape[i]; d > near || -d > near {
			return false
		}
	}
	return true
}

// measure finds where the shape is 0, and its bounds by window. The samples on both sides
// of a window belong to it, as light runs straight to them.
func (s *shape) measure(times []time.Duration) {
	for i := 0; i < len(s.values); i++ {
		if s.values[i] == 0 {
			continue
		}
		from := i
		for i < len(s.values) && s.values[i] != 0 {
			i++
		}
		s.moves = append(s.moves, [2]int{from, i})
	}
	s.lo, s.hi = slices.Min(s.values), slices.Max(s.values)
	first := 0
	for from := times[0]; from == times[0] || from+windowLength-windowStep < times[len(times)-1]; from += windowStep {
		for first+1 < len(times) && times[first+1] <= from {
			first++
		}
		low, high := s.values[first], s.values[first]
		for i := first; i < len(times); i++ {
			low, high = min(low, s.values[i]), max(high, s.values[i])
			if times[i] >= from+windowLength {
				break
			}
		}
		s.low, s.high = append(s.low, low), append(s.high, high)
	}
}

// top is an upper bound of the levels by drive at a factor.
func (m *motion) top(factor float32) []float32 {
	out := make([]float32, len(m.tops[0]))
	for d := range out {
		out[d] = (1-factor)*m.tops[0][d] + factor*m.tops[1][d]
	}
	return out
}

// mix is what some shares of shapes come to at a factor, by shape.
type mix []float32

// mixOf adds up drives at a factor; row is what each gives at full.
func (m *motion) mixOf(dst mix, factor float32, drives []int, row func(d int) float64) mix {
	dst = append(dst[:0], make(mix, len(m.shapes))...)
	for _, d := range drives {
		r := float32(row(d))
		dst[m.still[d].shape] += r * m.still[d].by
		dst[m.moved[d].shape] += r * m.moved[d].by * factor
	}
	return dst
}

// series is the mix over time. Shares that together come to less than least are left out.
func (m *motion) series(dst []float32, x mix, least float32) []float32 {
	dst = dst[:len(m.times)]
	for i := range dst {
		dst[i] = x[0]
	}
	left := least
	for k := 1; k < len(x); k++ {
		s := &m.shapes[k]
		if swing := float32(math.Abs(float64(x[k]))) * (max(s.hi, 0) - min(s.lo, 0)); swing < left/16 {
			left -= swing
			continue
		}
		by := x[k]
		for _, span := range s.moves {
			out := dst[span[0]:span[1]]
			for i, v := range s.values[span[0]:span[1]] {
				out[i] += by * v
			}
		}
	}
	return dst
}

// swing is the most that the mix can go up and down within a window; it stops looking
// when it is enough.
func (m *motion) swing(x mix, enough float32) float32 {
	most := float32(0)
	for w := range m.shapes[0].low {
		sum := float32(0)
		for k := 1; k < len(x); k++ {
			if s := &m.shapes[k]; x[k] > 0 {
				sum += x[k] * (s.high[w] - s.low[w])
			} else if x[k] < 0 {
				sum -= x[k] * (s.high[w] - s.low[w])
			}
		}
		if most = max(most, sum); most >= enough {
			break
		}
	}
	return most
}

// reaches tells whether the mix may come above 0.
func (m *motion) reaches(x mix) bool {
	sum := x[0]
	for k := 1; k < len(x); k++ {
		sum += max(x[k]*m.shapes[k].lo, x[k]*m.shapes[k].hi)
	}
	if sum < 0 {
		return false
	}
	for w := range m.shapes[0].low {
		sum := x[0]
		for k := 1; k < len(x); k++ {
			sum += max(x[k]*m.shapes[k].low[w], x[k]*m.shapes[k].high[w])
		}
		if sum >= 0 {
			return true
		}
	}
	return false
}
