package meet

// ladder holds the sizes of change by which those of the parts are counted, in shares of
// the step that makes a flash. A change of a sum by a step takes a change of one part by
// a share, or of the other by what is left: entry i goes with entry len-1-i. The first is
// any change at all.
var ladder = [...]float32{0, .025, .2, .35, .5, .65, .8, .975, 1}

const rungs = len(ladder)

// many stands for more changes than a second has room for.
const many = 1000

// changes says what a curve does in all windows that begin in one block: how many
// disjoint rises and falls by each rung there are in a window of a second, and its
// largest rise and fall in one of two.
type changes struct {
	rises, falls [rungs]int16
	rise, fall   float32
	lines, bends int // in a window of a second
}

// changesOf counts in blocks of a width, for a sum of so many zones.
func changesOf(c *curve, width int, step float32, zones int) []changes {
	knots := knotsOf(c.v)
	out := make([]changes, (c.starts+width-1)/width)
	first := 0
	for k := range out {
		from := k * width
		to := from + width + window
		for first+1 < len(knots) && knots[first+1] <= from {
			first++
		}
		out[k].count(c.v, knots[first:], from, to, step, zones)
		var s swing
		s.low, s.high = c.v[from], c.v[from]
		s.over(c.v, knots[first:], from, to+pairing)
		out[k].rise, out[k].fall = s.rise, s.fall
		out[k].lines, out[k].bends = c.lines(from, to), c.corners(from, to)
	}
	return out
}

// knotsOf lists where a curve turns or bends, and its ends.
func knotsOf(v []float32) []int {
	out := []int{0}
	for i := 1; i+1 < len(v); i++ {
		before, after := v[i]-v[i-1], v[i+1]-v[i]
		if bend := after - before; bend > slack || bend < -slack || before*after < 0 || (before == 0) != (after == 0) {
			out = append(out, i)
		}
	}
	return append(out, len(v)-1)
}

// walk hands over the ends of a stretch and the knots in it.
func walk(knots []int, from, to int, f func(at int)) {
	f(from)
	for _, k := range knots {
		if k >= to {
			break
		}
		if k > from {
			f(k)
		}
	}
	f(to)
}

func (s *swing) over(v []float32, knots []int, from, to int) {
	walk(knots, from, to, func(at int) {
		x := v[at]
		s.rise, s.fall = max(s.rise, x-s.low), max(s.fall, s.high-x)
		s.low, s.high = min(s.low, x), max(s.high, x)
	})
}

// tally counts disjoint changes one way by one size. Along a way that only goes up as
// many fit as the size goes into it, but few within a millisecond: each other curve has a
// single corner there, and two rises of the sum with a fall between them take two.
type tally struct {
	size, low float32
	few       int
	n, at     int
}

func (t *tally) add(at int, x float32) {
	switch rise := x - t.low; {
	case rise <= 0:
		t.low = x
	case rise < t.size:
	case at-t.at <= 1:
		t.n, t.low = t.n+min(t.few, int(rise/t.size)), x
	default:
		n := int(rise / t.size)
		t.n, t.low = t.n+n, t.low+float32(n)*t.size
	}
	t.at = at
}

func (ch *changes) count(v []float32, knots []int, from, to int, step float32, zones int) {
	for r, share := range ladder {
		up := tally{size: max(share*step-slack, slack), low: v[from], few: (zones-1)/2 + 1, at: from}
		down := tally{size: up.size, low: -v[from], few: up.few, at: from}
		walk(knots, from, to, func(at int) {
			up.add(at, v[at])
			down.add(at, -v[at])
		})
		if share == 0 { // any change at all is as many as may be
			up.n, down.n = up.n*many, down.n*many
		}
		ch.rises[r], ch.falls[r] = int16(min(up.n, many)), int16(min(down.n, many))
	}
}

// apart is a bound for two curves wherever they meet: of the flashes that begin with a
// rise, all falls between the first and the last lie inside the window, and all rises
// but those two; and the other way round. Each change, and each half of one, takes a
// straight line of the sum.
func apart(a, b *changes, step float32) int {
	if a.rise+b.rise < step/2-slack || a.fall+b.fall < step/2-slack {
		return 0
	}
	rises, falls := many, many
	for r := range rungs {
		rises = min(rises, int(a.rises[r])+int(b.rises[rungs-1-r]))
		falls = min(falls, int(a.falls[r])+int(b.falls[rungs-1-r]))
	}
	ways := straights(a.lines, a.bends, b.lines, b.bends)
	return min(led(rises, falls), (ways+1)/2, ceiling)
}

// led is how many flashes there may be in a window that has so many whole changes in it.
func led(rises, falls int) int { return max(min(falls+1, rises+2), min(rises+1, falls+2)) }
