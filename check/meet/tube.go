package meet

import "lampblack/check/flash"

// tube bounds the flashes of windows that begin anywhere in one cell: each zone within
// some width from one instant of its line. The window is gone through in steps of the
// narrower width; in each, a zone is somewhere in two neighbouring pieces of its own
// width.
type tube struct {
	rule      *flash.Rule
	a, b      sight
	base      float32 // light of the zones that stand still
	last, end int     // the last step of the window, and of what makes a pair with it
	lines     func(from, to int) int
}

// sight is what a tube sees of one zone: in step i its pieces first + i/slow and, with
// over, the next.
type sight struct {
	*bins
	first, slow, over int
}

func (s *sight) piece(i int) int { return s.first + i/s.slow }

func (s *sight) reach(i int) (low, high float32) {
	k := s.piece(i)
	low, high = s.low[k], s.high[k]
	if s.over > 0 {
		low, high = min(low, s.low[k+1]), max(high, s.high[k+1])
	}
	return low, high
}

// reach is between what the sum lies in step i.
func (t *tube) reach(i int) (low, high float32) {
	la, ha := t.a.reach(i)
	lb, hb := t.b.reach(i)
	return max(t.base+la+lb-slack, 0), t.base + ha + hb + slack
}

// course is what can have happened since a step: the extremes of the sum, and how far
// its parts rose and fell.
type course struct {
	low, high float32
	a, b      swing
}

func (t *tube) begin(c *course, i int) {
	c.low, c.high = t.reach(i)
	c.a.begin(t.a.bins, t.a.piece(i), t.a.over)
	c.b.begin(t.b.bins, t.b.piece(i), t.b.over)
}

func (t *tube) add(c *course, i int) (low, high float32) {
	low, high = t.reach(i)
	c.low, c.high = min(c.low, low), max(c.high, high)
	if i%t.a.slow == 0 {
		c.a.add(t.a.bins, t.a.piece(i)+t.a.over)
	}
	if i%t.b.slow == 0 {
		c.b.add(t.b.bins, t.b.piece(i)+t.b.over)
	}
	return low, high
}

// near is how many steps back changes are held against corners. Beyond that the sizes of
// changes say more.
const near = 2

// turns are the steps in which the changes so far were complete, the latest few of them.
type turns struct {
	at [8]int
	n  int
}

// room tells whether another change can be complete in step i, so near behind the
// last ones: the sum of straight lines is straight itself, and goes one way, between the
// corners of all.
func (t *tube) room(u *turns, i int) bool {
	if t.lines == nil {
		return true
	}
	for back := 1; back <= min(u.n, len(u.at)); back++ {
		from := u.at[(u.n-back)%len(u.at)]
		if i-from > near {
			break
		}
		if back > t.lines(from, i) {
			return false
		}
	}
	return true
}

func (u *turns) add(i int) {
	u.at[u.n%len(u.at)] = i
	u.n++
}

// Changes that a step can complete. The sum can have come from the lowest that it can
// have had to the highest that it can have now, and by no more than its parts rose; or
// fallen likewise. Of a change of one size, the one from the lowest value counts if any
// does. Half changes are those of the first and the last flash, of which the window
// holds only what lies after, or before, the middle: the other half is as large, and ends
// or begins at no less than darkness.

func (t *tube) counts(low, size float32) bool {
	return t.rule.Counts(float64(low), float64(low+size))
}

func (c *course) rise() float32 { return c.a.rise + c.b.rise + slack }
func (c *course) fall() float32 { return c.a.fall + c.b.fall + slack }

func (t *tube) rose(c *course, high float32) bool {
	return t.counts(c.low, min(high-c.low, c.rise()))
}

func (t *tube) fell(c *course, low float32) bool {
	return t.counts(low, min(c.high-low, c.fall()))
}

func (t *tube) roseFromMiddle(c *course, high float32) bool {
	half := min(high-c.low, c.rise(), high/2)
	return t.counts(max(c.low-half, 0), 2*half)
}

func (t *tube) roseToMiddle(c *course, high float32) bool {
	return t.counts(c.low, 2*min(high-c.low, c.rise()))
}

func (t *tube) fellFromMiddle(c *course, low float32) bool {
	return t.counts(low, 2*min(c.high-low, c.fall()))
}

func (t *tube) fellToMiddle(c *course, low float32) bool {
	half := min(c.high-low, c.fall(), c.high/2)
	return t.counts(max(low-half, 0), 2*half)
}

// most is the bound: the most flashes that begin with a rise, or with a fall, whichever
// are more. It takes each change as early as it can be complete, so nothing that any
// alignment does can be ahead of it.
func (t *tube) most() int { return max(t.led(true), t.led(false)) }

// led counts flashes that begin with a rise (up) or a fall. The first begins in the
// window with the second half of its change; then whole changes go back and forth; the
// last may begin with a half. It counts when at least half of a change back can follow
// within the time that makes a pair.
func (t *tube) led(up bool) int {
	begun, back, lead, ended := t.roseFromMiddle, t.fell, t.rose, t.roseToMiddle
	paired := t.fellToMiddle
	if !up {
		begun, back, lead, ended, paired = t.fellFromMiddle, t.rose, t.fell, t.fellToMiddle, t.roseToMiddle
	}
	value := func(low, high float32, up bool) float32 {
		if up {
			return high
		}
		return low
	}
	var c course
	var u turns
	t.begin(&c, 0)
	low, high := c.low, c.high
	n := 0
	const (
		first  = iota // waits for the half change that begins the first flash
		wayOut        // waits for the whole change back
		again         // waits for the next flash, of which half is enough to count
		whole         // it has counted, and waits for its other half
	)
	state, counted := first, -1
	for i := 0; ; {
		moved := false
		switch state {
		case first:
			moved = begun(&c, value(low, high, up))
			if moved {
				n, counted, state = 1, i, wayOut
			}
			if moved && i > t.last {
				return t.pairs(counted, paired, up, value)
			}
		case wayOut:
			if moved = back(&c, value(low, high, !up)) && t.room(&u, i); moved {
				state = again
			}
		case again:
			if ended(&c, value(low, high, up)) {
				n, counted, state = n+1, i, whole
				continue
			}
		case whole:
			if moved = lead(&c, value(low, high, up)) && t.room(&u, i); moved {
				state = wayOut
			}
		}
		if n >= ceiling {
			return ceiling
		}
		if moved {
			u.add(i)
			t.begin(&c, i)
			low, high = c.low, c.high
			continue
		}
		if i++; i > t.last && !(state == first && i <= t.end) {
			break
		}
		low, high = t.add(&c, i)
	}
	if n == 0 {
		return 0
	}
	return n - 1 + t.pairs(counted, paired, up, value)
}

// pairs is 1 when a change back can follow the last flash's.
func (t *tube) pairs(from int, paired func(*course, float32) bool, up bool, value func(low, high float32, up bool) float32) int {
	var c course
	t.begin(&c, from)
	low, high := c.low, c.high
	for i := from; ; {
		if paired(&c, value(low, high, !up)) {
			return 1
		}
		if i++; i > t.end {
			return 0
		}
		low, high = t.add(&c, i)
	}
}
