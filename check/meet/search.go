package meet

import (
	"time"

	"lampblack/check/flash"
)

// widths of cells in ms. The first levels are bounded by the zones apart, the others
// also by the tube.
var widths = [...]int{1024, 256, 64, 16, 4, 2}

const (
	lastApart = 2 // the last level that has changes
	firstTube = 2
	meetLevel = 3 // from here on what a cell really does is looked at
)

// part is a zone's light on a spot with all that the search takes of it.
type part struct {
	curve
	changes [lastApart + 1][]changes
	bins    [len(widths)]bins // of the levels that have a tube
}

func partOf(c curve, step float32) *part {
	p := &part{curve: c}
	for l := range p.changes {
		p.changes[l] = changesOf(&c, widths[l], step, 2)
	}
	fine := binsOf(c.v, widths[len(widths)-1])
	for l := len(widths) - 1; l >= firstTube; l-- {
		p.bins[l] = fine
		if l > firstTube {
			fine = fine.wider(widths[l-1] / widths[l])
		}
	}
	return p
}

// cell is a rectangle of alignments: each zone begins its window within the width of a
// level, the given number of widths from the beginning of its line.
type cell struct {
	levelA, levelB int8
	tubed          bool // at the first level that has a tube, whether it was looked through
	a, b           int32
}

// search looks for the most flashes of two zones on one spot: cells with the highest
// bound first, each cut into smaller ones with lower bounds, until no bound is above
// what was met.
type search struct {
	rule   *flash.Rule
	a, b   *part
	base   float32
	queues [ceiling + 1][]cell
	work   int
	next   int // at which work is left a cell is looked at again
	met    int
	at     [2]int // ms

	steps, level bins // of stairs
}

const (
	// lookEvery is how much work lies between two cells whose real light is counted, so
	// that those are spread over the search, and firstLooks how many are counted
	// before it.
	lookEvery  = 20000
	firstLooks = 400
	// mostCells bounds those that wait.
	mostCells = 16 << 20
	lastLevel = len(widths) - 1
)

func (s *search) run() int {
	step := float32(s.rule.Step)
	for a := range s.a.changes[0] {
		for b := range s.b.changes[0] {
			n := apart(&s.a.changes[0][a], &s.b.changes[0][b], step)
			s.queues[n] = append(s.queues[n], cell{a: int32(a), b: int32(b)})
		}
	}
	s.next = s.work
	s.spread()
	waiting := 0
	for top := ceiling; top > s.enough(); {
		q := s.queues[top]
		if len(q) == 0 {
			top--
			continue
		}
		c := q[len(q)-1]
		s.queues[top] = q[:len(q)-1]
		s.work -= rungs
		if s.work < 0 || waiting > mostCells {
			return top
		}
		if c.levelA == firstTube && c.levelB == firstTube && !c.tubed {
			c.tubed = true
			if bound := min(top, s.tube(firstTube, firstTube, int(c.a), int(c.b))); bound > s.met {
				s.queues[bound] = append(s.queues[bound], c)
			}
			continue
		}
		if max(c.levelA, c.levelB) >= meetLevel && s.work <= s.next {
			s.next = s.work - lookEvery
			s.look(c)
		}
		if min(int(c.levelA), int(c.levelB)) < lastLevel {
			waiting += s.cut(c, top, step) - 1
			continue
		}
		bound := s.stairs(c)
		s.work -= 32 * window
		if bound >= top {
			return top
		}
		if bound > s.met {
			s.queues[bound] = append(s.queues[bound], c)
		}
	}
	for top := s.enough(); top > s.met; top-- {
		if len(s.queues[top]) > 0 {
			return top
		}
	}
	return s.met
}

// spread looks at cells with the highest bounds, from end to end of both lines.
func (s *search) spread() {
	left := firstLooks
	for top := ceiling; top > 1 && left > 0; top-- {
		q := s.queues[top]
		n := min(left, len(q))
		for i := range n {
			s.look(q[i*len(q)/n])
		}
		left -= n
	}
}

// enough is what a bound need not be below. One flash is no matter, and to tell it from
// none would take as long as all else. What breaks the rule is not told more exactly than
// to a quarter.
func (s *search) enough() int {
	if s.met > s.rule.Most {
		return min(s.met+s.met/4, ceiling)
	}
	return max(s.met, 1)
}

// cut puts the parts of a cell into the queues of their bounds, and counts them. While
// zones are bounded apart both are cut, and after that the one that blurs more.
func (s *search) cut(c cell, top int, step float32) (n int) {
	la, lb := c.levelA, c.levelB
	switch {
	case la < lastApart:
		la, lb = la+1, lb+1
	case int(lb) == lastLevel || int(la) < lastLevel && s.blur(s.a, int(la), int(c.a), step) >= s.blur(s.b, int(lb), int(c.b), step):
		la++
	default:
		lb++
	}
	ka, kb := int32(widths[c.levelA]/widths[la]), int32(widths[c.levelB]/widths[lb])
	for a := c.a * ka; a < (c.a+1)*ka && int(a)*widths[la] < s.a.starts; a++ {
		for b := c.b * kb; b < (c.b+1)*kb && int(b)*widths[lb] < s.b.starts; b++ {
			bound := top
			if la == lb && la <= lastApart {
				bound = min(bound, apart(&s.a.changes[la][a], &s.b.changes[lb][b], step))
				s.work -= rungs
			} else {
				bound = min(bound, s.tube(int(la), int(lb), int(a), int(b)))
			}
			if bound > s.met {
				s.queues[bound] = append(s.queues[bound], cell{levelA: la, levelB: lb, a: a, b: b})
				n++
			}
		}
	}
	return n
}

// blur is how much of a zone's light in a window is lost between the ends of its pieces.
func (s *search) blur(p *part, l, k int, step float32) (sum float32) {
	b := &p.bins[l]
	for i := k; i <= k+window/b.width; i++ {
		sum += min(b.high[i]-b.low[i], step)
	}
	return sum / float32(window/b.width) // mean, as narrower pieces are more
}

// tube bounds a cell by its tube.
func (s *search) tube(la, lb, a, b int) int {
	wa, wb := widths[la], widths[lb]
	w := min(wa, wb)
	s.work -= 4 * window / w
	t := tube{rule: s.rule, a: sight{&s.a.bins[la], a, wa / w, 1}, b: sight{&s.b.bins[lb], b, wb / w, 1},
		base: s.base, last: (window - 1) / w, end: (window + pairing) / w}
	t.lines = func(from, to int) int {
		fa, ta := t.a.piece(from)*wa, (t.a.piece(to)+2)*wa
		fb, tb := t.b.piece(from)*wb, (t.b.piece(to)+2)*wb
		return straights(s.a.lines(fa, ta), s.a.corners(fa, ta), s.b.lines(fb, tb), s.b.corners(fb, tb))
	}
	return t.most()
}

// look counts what really happens from the middle of a cell on, with what goes before.
func (s *search) look(c cell) {
	wa, wb := widths[c.levelA], widths[c.levelB]
	a, b := int(c.a)*wa+wa/2, int(c.b)*wb+wb/2
	const before, after = 1000, 1500
	times := make([]time.Duration, before+window+after)
	sum := make([]float32, len(times))
	for i := range sum {
		times[i] = time.Duration(i) * time.Millisecond
		sum[i] = s.base + s.a.value(a+i-before) + s.b.value(b+i-before)
	}
	worst := flash.Count([]flash.Spot{{Area: 1, Flashes: flash.General(s.rule, times, sum)}}, nil, 0)
	if worst.Count > s.met {
		on := wholeMs(worst.From) - before
		s.met, s.at = worst.Count, [2]int{a + on, b + on}
	}
}
