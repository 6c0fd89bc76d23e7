package meet

import (
	"time"

	"lampblack/check/flash"
)

// Line is the time of one zone: corners of straight lines, as those of a
// subject.Trace. It begins anew at its end, or, when it does not repeat, stands before
// and after it.
type Line struct {
	Times   []time.Duration // ascending, from 0 on
	Repeats bool
}

// Spot is one piece of what the eye sees, with the light that each zone throws on it.
type Spot struct {
	Area  float64          // in the unit of Options.Area
	Light [][]flash.Colour // by zone, then corner of its line
}

// Eye sees the light of several zones at once.
type Eye struct {
	Lines []Line // by zone
	Spots []Spot
}

// span is how long a zone's line is in milliseconds: the time between its corners, and,
// for one that repeats, the millisecond in which it goes back to its beginning.
func (l *Line) span() int {
	if len(l.Times) == 0 {
		return 1
	}
	ms := wholeMs(l.Times[len(l.Times)-1])
	if l.Repeats {
		ms++
	}
	return max(ms, 1)
}

func wholeMs(t time.Duration) int { return int(t.Round(time.Millisecond) / time.Millisecond) }

// hold is how long a line that does not repeat is looked at before it begins and after
// it has ended: longer than the windows that are looked at.
const hold = 3000 // ms

// curve is one channel of a zone's light on a spot, at every millisecond. Between two of
// them it runs straight.
type curve struct {
	v      []float32 // starts of windows, and behind them what the last of them reach
	begun  []int32   // at each millisecond: how many straight lines that are not level began before it
	bent   []int32   // and how many corners of such lines lie before it
	starts int       // how many starts there are
	goesOn bool      // before the first is what is before the end
}

// curveOf samples a channel, with tail more values than there are starts. No corner's
// value is lost: two within a millisecond come to lie a millisecond apart.
func curveOf(l *Line, light []flash.Colour, of func(flash.Colour) float32, tail int) curve {
	if len(l.Times) == 0 {
		return curve{v: make([]float32, 1+tail), begun: make([]int32, 1+tail), bent: make([]int32, 1+tail), starts: 1}
	}
	n := l.span()
	line, begins, corner := make([]float32, n+1), make([]bool, n+1), make([]bool, n+1)
	at, last := 0, of(light[0])
	line[0] = last
	for i, t := range l.Times {
		ms, v := wholeMs(t), of(light[i])
		if ms <= at && i > 0 {
			if v == last {
				continue
			}
			ms = at + 1
		}
		ms = min(ms, n)
		if v != last {
			begins[at], corner[at], corner[ms] = true, true, true
		}
		for k := at + 1; k <= ms; k++ {
			line[k] = last + (v-last)*(float32(k-at)/float32(ms-at))
		}
		line[ms] = v
		at, last = ms, v
	}
	for k := at + 1; k <= n; k++ {
		line[k] = last
	}
	c := curve{starts: n, goesOn: l.Repeats}
	if l.Repeats {
		c.v = make([]float32, n+tail)
		if line[n-1] != line[0] { // back to the beginning
			begins[n-1], corner[n-1], corner[0] = true, true, true
		}
		c.begun, c.bent = make([]int32, n+tail), make([]int32, n+tail)
		for i := range c.v {
			c.v[i] = line[i%n]
			c.mark(i, begins[i%n], corner[i%n])
		}
		return c
	}
	c.starts = n + 2*hold
	c.v = make([]float32, c.starts+tail)
	c.begun, c.bent = make([]int32, len(c.v)), make([]int32, len(c.v))
	for i := range c.v {
		at := min(max(i-hold, 0), n)
		inside := at == i-hold
		c.v[i] = line[at]
		c.mark(i, inside && begins[at], inside && corner[at])
	}
	return c
}

// mark counts on what lies at a millisecond.
func (c *curve) mark(i int, begins, corner bool) {
	if i+1 == len(c.v) {
		return
	}
	c.begun[i+1], c.bent[i+1] = c.begun[i], c.bent[i]
	if begins {
		c.begun[i+1]++
	}
	if corner {
		c.bent[i+1]++
	}
}

// lines is how many straight lines that are not level have a part in a stretch.
func (c *curve) lines(from, to int) int {
	n := int(c.begun[to] - c.begun[from+1])
	if c.v[from] != c.v[from+1] {
		n++
	}
	return n
}

// corners is how many lie inside a stretch.
func (c *curve) corners(from, to int) int { return int(c.bent[to] - c.bent[from+1]) }

// straights bounds how many straight lines that are not level the sum of two curves has,
// of which one has so many lines and corners and the other so many. Each corner ends one,
// and of lines that stand alone, each has two ends.
func straights(lines, corners, others, othersCorners int) int {
	if lines == 0 || others == 0 {
		return lines + others
	}
	return min(2*(lines+others)-1, corners+othersCorners+1)
}

// steady tells whether nothing ever changes.
func (c *curve) steady() bool {
	for _, v := range c.v {
		if v != c.v[0] {
			return false
		}
	}
	return true
}

// value is the curve's at any millisecond up to its tail's end, before its beginning too.
func (c *curve) value(ms int) float32 {
	if ms < 0 && c.goesOn {
		ms = ms%c.starts + c.starts
	}
	return c.v[max(ms, 0)]
}

func luminance(c flash.Colour) float32 { return c.Y }
