package vorbis

import (
	"errors"
	"fmt"
	"math"
	"math/bits"
	"sort"
)

// A floor is a curve over frequency of straight pieces in dB (floor type 1,
// section 7). Its points stand at places that the setup header fixes; a packet gives
// their heights. The ends come first, then points between them, in an order that
// refines the curve: each is coded as its distance from the line between its nearest
// neighbours among those before it, which is often 0.
type floor struct {
	// Points are coded in groups (partitions), of which each belongs to a class that says
	// how many points it has and by which codebooks they come.
	partitions []int // class of each
	classes    []floorClass
	multiplier int
	x          []int // places of the curve's points, in order of coding
	order      []int // indices into x by place
	low, high  []int // nearest points among the earlier coded ones
}

type floorClass struct {
	dimensions int
	subclasses int // bits
	// One word of it chooses the books of all the points of a group, subclasses bits each.
	master *codebook
	books  [8]*codebook // nil: the value is 0
}

// maxPoints is the longest curve that the format allows (7.2.2).
const maxPoints = 65

// readFloor reads the description of a floor in the setup header (7.2.2). Type 0, which only
// encoders from before version 1 wrote (from memory), is refused.
func readFloor(r *bitReader, books []*codebook) (*floor, error) {
	if kind := r.take(16); kind != 1 {
		return nil, fmt.Errorf("floor of type %d: only type 1 is read", kind)
	}
	f := &floor{partitions: make([]int, r.take(5))}
	most := -1
	for i := range f.partitions {
		f.partitions[i] = r.take(4)
		most = max(most, f.partitions[i])
	}
	f.classes = make([]floorClass, most+1)
	for i := range f.classes {
		if err := f.classes[i].read(r, books); err != nil {
			return nil, err
		}
	}
	f.multiplier = r.take(2) + 1
	return f, f.readPoints(r)
}

// read reads a class: how many points, and from which books. Numbers of the points' books
// are one too large in the file, so that 0 can mean none.
func (c *floorClass) read(r *bitReader, books []*codebook) error {
	c.dimensions = r.take(3) + 1
	c.subclasses = r.take(2)
	if c.subclasses > 0 {
		n := r.take(8)
		if n >= len(books) {
			return errors.New("floor with a codebook that is not there")
		}
		c.master = books[n]
	}
	for i := range 1 << c.subclasses {
		n := r.take(8) - 1
		if n >= len(books) {
			return errors.New("floor with a codebook that is not there")
		}
		if n >= 0 {
			c.books[i] = books[n]
		}
	}
	return nil
}

// readPoints reads the places of the points; the first two, the ends, are not written.
func (f *floor) readPoints(r *bitReader) error {
	width := r.take(4)
	f.x = []int{0, 1 << width}
	for _, class := range f.partitions {
		for range f.classes[class].dimensions {
			f.x = append(f.x, r.take(width))
		}
	}
	if len(f.x) > maxPoints {
		return fmt.Errorf("floor of %d points: at most %d", len(f.x), maxPoints)
	}
	f.order = make([]int, len(f.x))
	for i := range f.order {
		f.order[i] = i
	}
	sort.SliceStable(f.order, func(a, b int) bool { return f.x[f.order[a]] < f.x[f.order[b]] })
	// Two points in one place would make a line of no length, and a division by 0.
	for i := 1; i < len(f.order); i++ {
		if f.x[f.order[i]] == f.x[f.order[i-1]] {
			return errors.New("floor with two points in one place")
		}
	}
	f.neighbours()
	return nil
}

// neighbours finds for each point the nearest earlier coded ones below and above
// (9.2.4, 9.2.5).
func (f *floor) neighbours() {
	f.low, f.high = make([]int, len(f.x)), make([]int, len(f.x))
	for i := 2; i < len(f.x); i++ {
		low, high := 0, 1
		for j := range i {
			if f.x[j] < f.x[i] && f.x[j] > f.x[low] {
				low = j
			}
			if f.x[j] > f.x[i] && f.x[j] < f.x[high] {
				high = j
			}
		}
		f.low[i], f.high[i] = low, high
	}
}

// points are the coded values of one curve; used is false for silence.
type points struct {
	y    [maxPoints]int
	used bool
}

// floorRanges are the numbers of heights by multiplier (7.2.3): a height times its
// multiplier is a step of inverseDB, of which there are 256.
var floorRanges = [5]int{0, 256, 128, 86, 64}

// read reads the values of a curve. A packet that ends within leaves silence.
func (f *floor) read(r *bitReader, p *points) {
	p.used = false
	if !r.flag() {
		return
	}
	width := bits.Len(uint(floorRanges[f.multiplier] - 1))
	p.y[0], p.y[1] = r.take(width), r.take(width)
	at := 2
	for _, class := range f.partitions {
		c := &f.classes[class]
		choice := 0
		if c.master != nil {
			if choice = c.master.entry(r); choice < 0 {
				return
			}
		}
		for range c.dimensions {
			book := c.books[choice&(1<<c.subclasses-1)]
			choice >>= c.subclasses
			p.y[at] = 0
			if book != nil {
				if p.y[at] = book.entry(r); p.y[at] < 0 {
					return
				}
			}
			at++
		}
	}
	p.used = !r.over()
}

// multiply multiplies the lines by the curve (7.2.4). Short and long blocks may share
// the description of a floor, so points may lie beyond the last line; and the curve goes on
// level behind its last point.
func (f *floor) multiply(p *points, lines []float32) {
	var drawn [maxPoints]bool
	f.unwrap(p, &drawn)
	x0, y0 := 0, p.y[0]*f.multiplier
	for _, i := range f.order[1:] {
		if !drawn[i] {
			continue
		}
		x1, y1 := f.x[i], p.y[i]*f.multiplier
		multiplyLine(lines, x0, y0, x1, y1)
		x0, y0 = x1, y1
	}
	if x0 < len(lines) {
		multiplyLine(lines, x0, y0, len(lines), y0)
	}
}

// unwrap turns coded differences from the line between two neighbours into
// heights; points without a difference lie on that line and are not drawn: the line
// between those that are comes out the same but for its rounding, and it is that rounding
// which the format fixes.
//
// A difference takes either sign in turns, 1 2 3 4 being -1 +1 -2 +2, until the nearer
// bound (0 or the range) is reached; from there on all differences go the other way, so
// that no code is lost on heights that cannot be.
func (f *floor) unwrap(p *points, drawn *[maxPoints]bool) {
	drawn[0], drawn[1] = true, true
	limit := floorRanges[f.multiplier]
	for i := 2; i < len(f.x); i++ {
		low, high := f.low[i], f.high[i]
		line := pointOnLine(f.x[low], p.y[low], f.x[high], p.y[high], f.x[i])
		v := p.y[i]
		if v == 0 {
			p.y[i] = line
			continue
		}
		drawn[low], drawn[high], drawn[i] = true, true, true
		above, below := limit-line, line
		switch {
		case v >= 2*min(above, below) && above > below:
			v += line - below
		case v >= 2*min(above, below):
			v = line - v + above - 1
		case v&1 == 1:
			v = line - (v+1)/2
		default:
			v = line + v/2
		}
		p.y[i] = min(max(v, 0), limit-1) // only damage leads outside
	}
}

// pointOnLine is render_point (9.2.6): the height at x, rounded towards y0.
func pointOnLine(x0, y0, x1, y1, x int) int {
	dy := y1 - y0
	off := max(dy, -dy) * (x - x0) / (x1 - x0)
	if dy < 0 {
		return y0 - off
	}
	return y0 + off
}

// multiplyLine is render_line (9.2.7) on lines x0 to x1, x1 left out, looked up and
// multiplied at once. It steps in whole numbers: base a line and one more (or less)
// whenever the sum of what is left over reaches dx. Encoder and decoder must agree to
// the last step, so this is no place for floating point.
func multiplyLine(lines []float32, x0, y0, x1, y1 int) {
	dy, dx := y1-y0, x1-x0
	base := dy / dx
	step := base + 1
	if dy < 0 {
		step = base - 1
	}
	slope := max(dy, -dy) - max(base, -base)*dx
	y, err := y0, 0
	for x := x0; x < min(x1, len(lines)); x++ {
		lines[x] *= inverseDB[y&255]
		if err += slope; err >= dx {
			err -= dx
			y += step
		} else {
			y += base
		}
	}
}

// inverseDB is floor1_inverse_dB_table (10.1): 256 steps of 140/256 dB up to 1.
var inverseDB = func() (t [256]float32) {
	for i := range t {
		t[i] = float32(math.Pow(10, float64(i-255)*140/256/20))
	}
	return t
}()
