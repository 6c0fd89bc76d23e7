package living

import (
	"cmp"
	"math"
	"slices"
	"sort"
	"time"

	"lampblack/soundtrack"
)

// Beats are instants in order, counted from 0: [Events], or what is heard live.
type Beats interface {
	// Before is the last of them at or before t; -1 before the first.
	Before(t time.Duration) int
	// Time is when one of them is; Never for one that is not there, or not yet.
	Time(i int) time.Duration
}

// Never is when what does not come comes.
const Never = time.Duration(math.MaxInt64)

// Events are the instants of an Every over one piece. They do not change once they are made.
type Events struct {
	times  []time.Duration
	period time.Duration // where they go by time alone: i·period, without end
	doubts []Doubt
}

// Instead is what stands in for a beat.
type Instead string

// What stands in.
const (
	Hits        Instead = "hits"         // the hits there, those most worth lighting first
	SlowTime    Instead = "slow time"    // even steps of 2 s or more
	FourthBeats Instead = "fourth beats" // every fourth beat, taken for the first of a bar
)

// Doubt is a span in which what was asked for was not heard surely enough.
type Doubt struct {
	From, To time.Duration
	Instead  Instead
}

const (
	// sureBeat is the strength from which a beat counts. Soundtrack writes none under 0.57, has
	// strikes at random at 0.5 at most, and played music above 0.7.
	sureBeat = 0.6
	// longestBeat is the longest time between beats of one count, as soundtrack has it; over
	// a longer gap than two of these the count is lost.
	longestBeat = 1300 * time.Millisecond
	// apart is the least time between events that stand in for others: three in a second.
	apart = 300 * time.Millisecond
	// slowest is the least step of slow time.
	slowest = 2 * time.Second
	// beatsABar is what a bar has where none is heard (choice: most music has four).
	beatsABar = 4
	// hitsApart is the least time between hits that stand in, as a share of what
	// was asked for: they take about its rate, and not that of the drums.
	hitsApart = .75
	// longestPiece is the longest that events are listed for.
	longestPiece = 24 * time.Hour
	// usualBeat is taken for a beat where there is none to measure.
	usualBeat = 500 * time.Millisecond
)

// EventsOf lists the events of a piece that lasts length: on the track's beats and bars as far as
// they are sure. Elsewhere hits stand in for them, no nearer together than events
// are elsewhere, or than 0.3 s; and where none comes for long, slow time. Doubts
// says where. Without a track all is slow time. What goes by time needs no track.
func EventsOf(track *soundtrack.Track, every Every, length time.Duration) *Events {
	length = min(length, longestPiece)
	switch {
	case every.time > 0:
		return &Events{period: every.time}
	case track == nil:
		return &Events{period: max(slowest, every.usual()), doubts: []Doubt{{0, length, SlowTime}}}
	}
	e := &Events{}
	runs := sureRuns(track, length)
	for _, run := range runs {
		e.times = append(e.times, every.among(run)...)
		if every.needsBars() && run[0].Beat == 0 {
			e.doubts = append(e.doubts, Doubt{run[0].Time, run[len(run)-1].Time, FourthBeats})
		}
	}
	usual := every.usual()
	if len(e.times) > 1 {
		usual = middle(e.times)
	}
	hits := track.Ranked(-1)
	from := time.Duration(0)
	for _, run := range runs {
		e.fill(from, run[0].Time, usual, hits)
		from = run[len(run)-1].Time
	}
	e.fill(from, length, usual, hits)
	slices.Sort(e.times)
	slices.SortStableFunc(e.doubts, func(a, b Doubt) int { return cmp.Compare(a.From, b.From) })
	return e
}

// Before is the last event at or before t; -1 before the first.
func (e *Events) Before(t time.Duration) int {
	if e.period > 0 {
		if t < 0 {
			return -1
		}
		return int(t / e.period)
	}
	return sort.Search(len(e.times), func(i int) bool { return e.times[i] > t }) - 1
}

// Time is when event i is; Never where there is none.
func (e *Events) Time(i int) time.Duration {
	switch {
	case i < 0:
		return Never
	case e.period > 0:
		if time.Duration(i) > Never/e.period {
			return Never
		}
		return time.Duration(i) * e.period
	case i >= len(e.times):
		return Never
	}
	return e.times[i]
}

// Len is how many events there are; -1 for those that go on without end.
func (e *Events) Len() int {
	if e.period > 0 {
		return -1
	}
	return len(e.times)
}

// Doubts are the spans in which others stand in for the events that were asked for, by time.
func (e *Events) Doubts() []Doubt { return e.doubts }

// sureRuns are the stretches of sure beats, of two beats at least, none past the end.
func sureRuns(track *soundtrack.Track, length time.Duration) (runs [][]soundtrack.Moment) {
	var run []soundtrack.Moment
	end := func() {
		if len(run) > 1 {
			runs = append(runs, run)
		}
		run = nil
	}
	for _, m := range track.Of(soundtrack.Beat) {
		if m.Strength < sureBeat || m.Time >= length {
			continue
		}
		if n := len(run); n > 0 && (m.Time-run[n-1].Time > 2*longestBeat || (m.Beat == 0) != (run[n-1].Beat == 0)) {
			end()
		}
		run = append(run, m)
	}
	end()
	return runs
}

// needsBars tells whether it matters where bars begin.
func (e Every) needsBars() bool { return e.bars > 0 || e.pattern != nil }

// usual is about how long it is from event to event where no beat tells.
func (e Every) usual() time.Duration {
	switch {
	case e.bars > 0:
		return time.Duration(e.bars) * beatsABar * usualBeat
	case e.pattern != nil:
		on := 0
		for _, b := range e.pattern {
			for k := range b.beats {
				on += int(b.on >> k & 1)
			}
		}
		return time.Duration(len(e.pattern)) * beatsABar * usualBeat / time.Duration(on)
	}
	return time.Duration(e.beats) * usualBeat
}

// among is when it happens in a run of beats.
func (e Every) among(run []soundtrack.Moment) (out []time.Duration) {
	first := max(slices.IndexFunc(run, func(m soundtrack.Moment) bool { return m.Beat == 1 }), 0)
	for i, m := range run {
		bar, beat := m.Bar-1, m.Beat-1
		if m.Beat == 0 {
			bar, beat = i/beatsABar, i%beatsABar
		}
		happens := false
		switch {
		case e.off:
			if i+1 < len(run) && run[i+1].Time-m.Time <= longestBeat {
				out = append(out, (m.Time+run[i+1].Time)/2)
			}
		case e.beats > 0:
			happens = (i-first)%e.beats == 0
		case e.bars > 0:
			happens = beat == 0 && bar%e.bars == 0
		default:
			b := e.pattern[bar%len(e.pattern)]
			happens = beat < b.beats && b.on>>beat&1 == 1
		}
		if happens {
			out = append(out, m.Time)
		}
	}
	return out
}

// middle is the median time from event to event.
func middle(times []time.Duration) time.Duration {
	gaps := make([]time.Duration, 0, len(times))
	for i := 1; i < len(times); i++ {
		gaps = append(gaps, times[i]-times[i-1])
	}
	slices.Sort(gaps)
	return gaps[len(gaps)/2]
}

// fill puts what stands in into a span without sure beats: hits, the first to be lit
// before others, and slow time into what they leave empty. A span that the count could bridge is none.
func (e *Events) fill(from, to, usual time.Duration, hits []soundtrack.Moment) {
	if to-from <= 2*longestBeat {
		return
	}
	slow := max(slowest, usual)
	in := spaced(from, to, max(apart, time.Duration(hitsApart*float64(usual))), hits)
	e.times = append(e.times, in[1:len(in)-1]...)
	for i := 1; i < len(in); i++ {
		what := Hits
		if len(in) == 2 || in[i]-in[i-1] > 2*slow {
			what = SlowTime
			for t := in[i-1] + slow; t <= in[i]-apart; t += slow {
				e.times = append(e.times, t)
			}
		}
		if n := len(e.doubts); n > 0 && e.doubts[n-1].To == in[i-1] && e.doubts[n-1].Instead == what {
			e.doubts[n-1].To = in[i]
			continue
		}
		e.doubts = append(e.doubts, Doubt{in[i-1], in[i], what})
	}
}

// spaced is from, to, and between them as many of the hits, the first first, as keep the
// gap from all that came before them; by time.
func spaced(from, to, gap time.Duration, hits []soundtrack.Moment) []time.Duration {
	in := []time.Duration{from, to}
	taken := map[time.Duration]time.Duration{} // by gap since from: no two are in one
	for _, h := range hits {
		if h.Time < from+gap || h.Time > to-gap {
			continue
		}
		cell := (h.Time - from) / gap
		free := true
		for c := cell - 1; c <= cell+1; c++ {
			other, is := taken[c]
			free = free && (!is || (h.Time-other).Abs() >= gap)
		}
		if free {
			taken[cell] = h.Time
			in = append(in, h.Time)
		}
	}
	slices.Sort(in)
	return in
}
