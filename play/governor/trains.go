package governor

import (
	"math"
	"slices"
	"time"
)

// trains are the rates at which units have flashed by themselves within the last second. A
// rate counts with the most flashes that any phase puts into a stretch, and a stretch ends
// wherever any rate changes: so every change costs up to a flash of each unit.
type trains struct {
	spans [mostSpans]span // the last is the one that goes on
	sent  []float32       // its rates
	until time.Duration   // until when lowered rates stay as they are
}

// mostSpans is how many stretches are remembered. With more in a second, the rates of all
// units are none, or there are too many.
const mostSpans = 8

type span struct {
	from  time.Duration
	rates []float32
}

func (t *trains) make(units int) {
	for i := range t.spans {
		t.spans[i].rates = make([]float32, units)
	}
	t.sent = make([]float32, units)
}

// grid is how close the seconds are that worst looks at. Each is longer by it, so that
// every second lies in one of them.
const grid = 50 * time.Millisecond

// worst is the most flashes that the stretches may put into a second that holds any of the
// one before an instant. The last of them goes on. A second that barely touches a stretch may
// hold a flash of it, so it is not enough to ask from where stretches begin and end.
func (t *trains) worst(at time.Duration) (n int) {
	first := at - 2*time.Second - grid
	for i := range t.spans[1:] {
		if s := &t.spans[i+1]; s.from > first { // something changes there
			for from := first; from <= at; from += grid {
				n = max(n, t.within(from))
			}
			return n
		}
	}
	return t.within(at)
}

// within is how many there may be in a second that begins within the grid from an instant on.
func (t *trains) within(from time.Duration) (n int) {
	for i := range t.spans {
		s := &t.spans[i]
		to := from + time.Second + grid
		if i+1 < mostSpans {
			to = min(to, t.spans[i+1].from)
		}
		n += s.edges(max(s.from, from), to)
	}
	return n
}

// edges is the most flashes that the rates put into a stretch, or a second of it.
func (s *span) edges(from, to time.Duration) (n int) {
	for _, rate := range s.rates {
		if to > from && rate > 0 {
			n += edges(float64(rate) * min(to-from, time.Second).Seconds())
		}
	}
	return n
}

func edges(n float64) int { return int(math.Ceil(n - 1e-6)) }

// change begins a stretch of other rates.
func (t *trains) change(at time.Duration, rates []float32) {
	if slices.Equal(rates, t.spans[mostSpans-1].rates) {
		return
	}
	first := t.spans[0].rates
	copy(t.spans[:], t.spans[1:])
	copy(first, rates)
	t.spans[mostSpans-1] = span{at, first}
}

// slow lowers the rates of units that flash by themselves until they leave room for what
// has flashed within the last second. It returns how many flashes a second they make now,
// with those of the last second, and how many it would have been where that was lowered;
// else 0.
func (g *Governor) slow(at time.Duration, levels, rates []float32, free func(unit int) bool) (count, asked int) {
	t := &g.trains
	any := false
	for u, rate := range rates {
		t.sent[u] = 0
		if rate > 0 && !free(u) && (g.lit(u, levels) || g.lit(u, g.sent)) { // or it may be held as it is
			t.sent[u], any = rate, true
		}
		g.counts[u] = t.sent[u] > 0
	}
	last := &t.spans[mostSpans-1]
	if !any && !slices.ContainsFunc(last.rates, func(r float32) bool { return r > 0 }) {
		return t.worst(at), 0
	}
	units, eye := g.counter.Lately(at - time.Second)
	room := max(min(g.allowed.Units-units, g.allowed.Eye-eye), 0)
	if slices.Equal(t.sent, last.rates) && t.worst(at) <= max(room, g.allowed.Eye) {
		return t.worst(at), 0 // they go on as they were
	}
	if at < t.until { // lowered rates stay, but for those that are not wanted any more
		for u := range t.sent {
			t.sent[u] = min(t.sent[u], last.rates[u])
		}
	}
	if slices.Equal(t.sent, last.rates) {
		g.lower(rates, t.sent)
		return t.worst(at), 0
	}
	for _, rate := range t.sent {
		asked += edges(float64(rate))
	}
	past := t.past(at)
	left := room - past
	asked += past
	lowered := false
	for u, rate := range t.sent {
		if n := edges(float64(rate)); n > left {
			t.sent[u], lowered = float32(max(left, 0)), true
		}
		left -= edges(float64(t.sent[u]))
	}
	t.change(at, t.sent)
	if g.lower(rates, t.sent); !lowered {
		return t.worst(at), 0
	}
	t.until = at + time.Second
	return t.worst(at), max(asked, mostUnits)
}

// past is what the stretches have put into the second before an instant.
func (t *trains) past(at time.Duration) (n int) {
	for i := range t.spans {
		s := &t.spans[i]
		to := at
		if i+1 < mostSpans {
			to = t.spans[i+1].from
		}
		n += s.edges(max(s.from, at-time.Second), to)
	}
	return n
}

// lower takes rates down to those that are sent.
func (g *Governor) lower(rates, sent []float32) {
	for u, rate := range rates {
		if rate > sent[u] && g.counts[u] {
			rates[u], g.altered[u] = sent[u], true
		}
	}
}
