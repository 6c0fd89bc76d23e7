package retake

import (
	"math"
	"slices"
	"time"

	"lampblack/soundfile"
)

// An Interval is a stretch of a track, from its first instant to that of what
// follows.
type Interval struct{ From, To time.Duration }

// Length returns how long it lasts.
func (i Interval) Length() time.Duration { return i.To - i.From }

// A Span is a stretch of the new track that comes from one stretch of the old.
type Span struct {
	Old, New   Interval
	Speed      float64 // old seconds played in a new second
	Exact      bool    // placed sample by sample, and not by likeness alone
	Confidence float64 // 0 to 1, as a whole
	run        *run
	safe       [2]bool // no edit at the beginning, at the end
}

// A Map tells where the instants of an old track are in a new one.
type Map struct {
	OldLength, NewLength time.Duration
	Spans                []Span     // in order of the new track
	Cut                  []Interval // of the old track, in no span
	Added                []Interval // of the new track, in no span
}

// Doubtful is the confidence below which a person should look: the place may be
// another, or was not heard.
const Doubtful = 0.5

// Align reads the new take and maps the old track to it. It does not close the
// stream.
func Align(old *Print, take soundfile.Stream) (Map, error) {
	t, err := readTake(take)
	if err != nil {
		return Map{}, err
	}
	return align(old, t), nil
}

// align does what the package page draws: chains are refined each by itself, on all
// cores, then chosen among and joined in one thread.
func align(p *Print, t *take) Map {
	floor := noiseFloor(t)
	found := chains(matches(p, t))
	settled := make([][]*run, len(found))
	parallel(len(found), func(i int) {
		a := &aligner{p: p, t: t, floor: floor}
		if r := found[i].run(); a.refine(r) {
			settled[i] = a.settle(r)
		} else if r := found[i].likeness(); r != nil {
			r.gain = a.gain(r)
			settled[i] = []*run{r}
		}
	})
	a := &aligner{p: p, t: t, floor: floor}
	runs := choose(slices.Concat(settled...))
	a.meet(runs)
	runs = a.join(runs)
	a.intoQuiet(runs)
	return newMap(p, t, runs)
}

// noiseFloor is the level that all but a fiftieth of the audible frames exceed.
func noiseFloor(t *take) uint8 {
	var heard []uint8
	for _, l := range t.level {
		if l > 0 {
			heard = append(heard, l)
		}
	}
	if len(heard) == 0 {
		return 0
	}
	slices.Sort(heard)
	return heard[len(heard)/50]
}

// newMap turns runs, in samples, into spans, in time, and names what they leave over.
func newMap(p *Print, t *take, runs []*run) Map {
	m := Map{OldLength: p.duration, NewLength: t.duration}
	for _, r := range runs {
		s := Span{
			New:   Interval{instant(r.from, m.NewLength), instant(r.to, m.NewLength)},
			Old:   Interval{instant(r.place(r.from), m.OldLength), instant(r.place(r.to), m.OldLength)},
			Exact: r.exact,
			run:   r,
		}
		s.Speed = (r.place(r.to) - r.place(r.from)) / (r.to - r.from)
		s.Confidence = r.sureness()
		m.Spans = append(m.Spans, s)
	}
	m.markSharedEnds()
	var olds, news []Interval
	for _, s := range m.Spans {
		olds, news = append(olds, s.Old), append(news, s.New)
	}
	m.Cut, m.Added = rest(olds, m.OldLength), rest(news, m.NewLength)
	for i := range m.Spans {
		m.Spans[i].safe = m.safeEnds(i)
	}
	return m
}

// sharedEnd is the longest stretch of the old track in two spans that is taken for
// a rest at a joint, and not for a repeat.
const sharedEnd = 500 * time.Millisecond

// markSharedEnds makes ambiguous what little of the old track lies in two spans.
func (m *Map) markSharedEnds() {
	for i, s := range m.Spans {
		for _, o := range m.Spans[i+1:] {
			lo, hi := max(s.Old.From, o.Old.From), min(s.Old.To, o.Old.To)
			if hi <= lo || hi-lo >= sharedEnd {
				continue
			}
			for _, r := range []*run{s.run, o.run} {
				r.rivals = append(r.rivals, span{r.when(samples(lo)), r.when(samples(hi))})
			}
		}
	}
}

// nothing is the shortest rest worth naming.
const nothing = 25 * time.Millisecond

// rest lists what intervals leave of a track.
func rest(taken []Interval, length time.Duration) (left []Interval) {
	slices.SortFunc(taken, func(a, b Interval) int { return int(a.From - b.From) })
	at := time.Duration(0)
	for _, t := range taken {
		if t.From-at >= nothing {
			left = append(left, Interval{at, t.From})
		}
		at = max(at, t.To)
	}
	if length-at >= nothing {
		left = append(left, Interval{at, length})
	}
	return left
}

// safeEnds tells which ends of span i are those of both tracks.
func (m *Map) safeEnds(i int) [2]bool {
	const close = 300 * time.Millisecond
	s := m.Spans[i]
	return [2]bool{
		s.New.From < close && s.Old.From < close,
		m.NewLength-s.New.To < close && m.OldLength-s.Old.To < close,
	}
}

// instant turns samples at rate into a time within the track.
func instant(x float64, length time.Duration) time.Duration {
	return min(max(time.Duration(math.Round(x/rate*1e9)), 0), length)
}

// samples is the inverse of instant.
func samples(d time.Duration) float64 { return d.Seconds() * rate }

// sureness is the confidence in a run as a whole: signs agree by half where there
// is nothing, and by 0.8 under noise 20 dB below the sound. Codes differ by half
// where there is nothing, and by 0.1 in a good copy.
func (r *run) sureness() float64 {
	if !r.exact {
		most := 0.7
		if r.to-r.from < longLikeness {
			most = 0.45 // a steady sound is like itself a little earlier
		}
		return math.Min(math.Max(1-r.wrong/0.4, 0), most)
	}
	most := 1.0
	if r.to-r.from < shortRun {
		most = 0.45 // a single sound may well be in two tracks
	}
	return math.Min(math.Max((r.agree-0.5)/0.25, 0), most)
}

// longLikeness is how long a run that codes alone place must be to be believed,
// samples: 15 s.
const longLikeness = 15 * rate

// shortRun is a run that is not believed without a look, samples: 1 s.
const shortRun = rate

const (
	// blur is how far an end of a span may be off, samples: 10 ms.
	blur = 0.010 * rate
	// likeBlur is that of a span that codes alone place: 1 s.
	likeBlur = rate
	// Factors of the confidence.
	nearEdge  = 0.6 // within blur of an end
	unheard   = 0.6 // where silence or noise covers the sound
	ambiguous = 0.4 // where the old track has the same sound elsewhere too
)

// At returns where an instant of the old track is in the new one, and how sure
// that is; below [Doubtful] a person should look. ok is false when it was cut. Of
// several places, where a piece was repeated, it gives that in the longest span of
// those that are not doubtful.
func (m Map) At(old time.Duration) (new time.Duration, confidence float64, ok bool) {
	var length time.Duration
	for _, s := range m.Spans {
		if old < s.Old.From-duration(blur, rate) || old > s.Old.To+duration(blur, rate) {
			continue
		}
		x := s.run.when(samples(old))
		at := instant(x, m.NewLength)
		c := s.confidenceAt(x)
		better := c > confidence
		if c >= Doubtful && confidence >= Doubtful {
			better = s.New.Length() > length
		}
		if !ok || better {
			new, confidence, ok, length = at, c, true, s.New.Length()
		}
	}
	return new, confidence, ok
}

// All returns every place of an old instant in the new track, in order.
func (m Map) All(old time.Duration) (places []time.Duration) {
	for _, s := range m.Spans {
		if old >= s.Old.From && old <= s.Old.To {
			places = append(places, instant(s.run.when(samples(old)), m.NewLength))
		}
	}
	return places
}

// confidenceAt is that at a place of the new track, in samples: that of the span as a
// whole, less near its ends, where nothing was heard, and where the old track holds the
// same sound twice.
func (s *Span) confidenceAt(x float64) float64 {
	c := s.Confidence * s.nearEnd(x)
	if slices.ContainsFunc(s.run.weak, func(w span) bool { return w.holds(x) }) {
		c *= unheard
	}
	if slices.ContainsFunc(s.run.rivals, func(o span) bool { return o.holds(x) && s.atEnd(o) }) {
		c *= ambiguous
	}
	return c
}

func (s span) holds(x float64) bool { return x >= s.from && x <= s.to }

// nearEnd is the factor for places within blur of an end that is an edit, and beyond.
func (s *Span) nearEnd(x float64) float64 {
	r := s.run
	reach := float64(blur)
	if !r.exact {
		reach = likeBlur
	}
	switch {
	case x < r.from-1 || x > r.to+1:
		return nearEdge * nearEdge
	case x < r.from+reach && !s.safe[0], x > r.to-reach && !s.safe[1]:
		return nearEdge
	}
	return 1
}

// atEnd tells whether a part lies at an end of the span that is an edit. A rival amid
// the run does no harm: what lies around it tells which of the two is meant.
func (s *Span) atEnd(o span) bool {
	return o.from-s.run.from < leastPiece && !s.safe[0] || s.run.to-o.to < leastPiece && !s.safe[1]
}
