package show

import (
	"slices"
	"time"

	"lampblack/score"
	"lampblack/si"
	"lampblack/source"
)

// Wait is a wait of a piece on the line of its show. Every wait makes the line
// longer, by its gap:
//
//	as written   ── 1 ── 2 ──┤wait├── 3 ── 4 ──        the place, without length
//	as it goes   ── 1 ── 2 ──┤ gap      ├── 3 ── 4 ──  fades of 2 go on meanwhile
//	a span       ── 1 ──[ 2 ]┤ 2 ][ 2 ] ├── 3 ── 4 ──  repeats a whole number of times
//
// So light stays a function of one line, whatever was waited for: the gaps are
// part of what it is a function of, as the light at entry is.
type Wait struct {
	*score.Wait
	Begins time.Duration // on the show's line: it stands, or the span is left unless it repeats
	Gap    time.Duration // how long it lasts; of a span a whole number of its lengths
	Open   bool          // it has not ended yet, and nothing is known of what comes after
}

// usual is the gap that a wait usually makes.
func usual(w *score.Wait) time.Duration {
	if w.Usually > 0 {
		return w.Whole(time.Duration(w.Usually))
	}
	return longest(w)
}

// longest is the gap that the checks take.
func longest(w *score.Wait) time.Duration { return w.Whole(time.Duration(w.Most)) }

// UsualGaps are the gaps of the first n waits as they usually are: what a jump to a
// place behind them takes them for.
func (s *Show) UsualGaps(n int) []time.Duration {
	out := make([]time.Duration, n)
	for i := range out {
		out[i] = usual(&s.Score.Waits[i])
	}
	return out
}

// Usual is how long the show usually lasts.
func (s *Show) Usual() time.Duration {
	d := s.Length
	for i := range s.Waits {
		d += usual(s.Waits[i].Wait) - s.Waits[i].Gap
	}
	return d
}

// wait takes in the waits of the score, and puts the cues on the line where every one
// lasts its longest.
func (s *Show) wait(faults *source.Faults) {
	if len(s.Score.Waits) == 0 {
		return
	}
	s.written = s.Cues
	s.writtenLength = s.Length
	for i := range s.Score.Waits { // what waits after its last cue is over no sooner
		s.writtenLength = max(s.writtenLength, s.Score.Waits[i].Place())
	}
	var gaps []time.Duration
	for i := range s.Score.Waits {
		w := &s.Score.Waits[i]
		s.checkWait(w, faults)
		gaps = append(gaps, longest(w))
	}
	if n := s.repeated(gaps); n > score.MaxCues {
		faults.Add(s.Score.Waits[0].Pos, "let spans repeat less long at most, or mark longer ones", "the spans that repeat come to %d cues at most, more than the %d of one show", n, score.MaxCues)
		clear(gaps)
	}
	s.stretch(gaps, 0)
}

// checkWait finds cues that a wait would tear apart, and waits where they cannot be.
func (s *Show) checkWait(w *score.Wait, faults *source.Faults) {
	if t := s.Track; t != nil && w.Repeats() && *w.To > t.Duration {
		faults.Add(w.Pos, "", "the span that repeats ends at %s, after the soundtrack's end at %s", si.FormatTime(*w.To), si.FormatTime(t.Duration))
	} else if t != nil && !w.Repeats() && *w.At < t.Duration {
		faults.Add(w.Pos, "mark a span of the sound that repeats: from, to; or wait in a piece without sound", "the wait at %s is where the soundtrack runs, and sound cannot stand", si.FormatTime(*w.At))
	}
	for i := range s.Cues {
		c := &s.Cues[i]
		if c.Start < w.Place() && c.Moment > w.Place() {
			faults.Add(c.Pos, "let it land before the wait, or begin after it", "cue %s begins before the wait at %s is over and lands after it", c.Number, si.FormatTime(w.Place()))
		}
	}
}

// unheard finds spans of sound in a piece that has none.
func unheard(s *score.Score, faults *source.Faults) {
	for i := range s.Waits {
		if w := &s.Waits[i]; w.Repeats() {
			faults.Add(w.Pos, "give the piece its soundtrack, or let it stand: at: "+si.FormatTime(*w.To), "the span from %s to %s repeats sound, and the piece has no soundtrack", si.FormatTime(*w.From), si.FormatTime(*w.To))
		}
	}
}

// repeated counts the cues on the line of such gaps.
func (s *Show) repeated(gaps []time.Duration) int {
	n := len(s.written)
	for i := range gaps {
		w := &s.Score.Waits[i]
		if !w.Repeats() {
			continue
		}
		for k := range s.written {
			if t := s.written[k].Start; t >= *w.From && t < *w.To {
				n += int(gaps[i] / w.Span())
			}
		}
	}
	return n
}

// Waited is the show whose waits have lasted so long. When there are fewer gaps than
// waits, the next wait is open: nothing comes after it, and a span of sound repeats up
// to the time that is to be covered, on the show's line. A show without waits is as it is.
func (s *Show) Waited(gaps []time.Duration, covered time.Duration) *Show {
	if len(s.Score.Waits) == 0 {
		return s
	}
	if m, ok := s.player.(masked); ok { // a zone as it is seen in its place
		m.show = m.show.Waited(gaps, covered)
		o := m.show.By(m)
		o.Looks = m.looks()
		return o
	}
	o := s.again()
	o.stretch(gaps, covered)
	o.compile()
	return o
}

// again is the show without its plan, which may be made anew.
func (s *Show) again() *Show {
	o := *s
	o.Looks = slices.Clone(s.Looks)
	o.plan = plan{entry: s.plan.entry}
	return &o
}

// stretch puts the cues on the line of such gaps.
func (s *Show) stretch(gaps []time.Duration, covered time.Duration) {
	s.Cues, s.Waits = nil, nil
	next, total := 0, time.Duration(0) // the cues that are on the line, and by how much it is longer
	for i := range s.Score.Waits {
		w := Wait{Wait: &s.Score.Waits[i], Begins: s.Score.Waits[i].Place() + total, Open: i >= len(gaps)}
		for next < len(s.written) && s.written[next].Start < w.Place() {
			s.Cues = append(s.Cues, s.written[next].later(total))
			next++
		}
		if w.Open {
			w.Gap = w.Whole(max(covered-w.Begins, 0))
		} else {
			w.Gap = w.Whole(gaps[i])
		}
		s.repeat(&w, next, total)
		total += w.Gap
		s.Waits = append(s.Waits, w)
		if w.Open {
			s.Length = w.Begins + w.Gap
			return
		}
	}
	for _, c := range s.written[next:] {
		s.Cues = append(s.Cues, c.later(total))
	}
	s.Length = s.writtenLength + total
}

// repeat puts the cues of a span on the line once for every time that it repeats. next
// is the first cue behind it.
func (s *Show) repeat(w *Wait, next int, total time.Duration) {
	if !w.Repeats() {
		return
	}
	first := next
	for first > 0 && s.written[first-1].Start >= *w.From {
		first--
	}
	for pass := w.Span(); pass <= w.Gap; pass += w.Span() {
		for _, c := range s.written[first:next] {
			s.Cues = append(s.Cues, c.later(total+pass))
		}
	}
}

// later is the cue, moved.
func (c Cue) later(by time.Duration) Cue {
	c.Moment, c.Start, c.Peak, c.Complete = c.Moment+by, c.Start+by, c.Peak+by, c.Complete+by
	return c
}

// Spans are the spans of the soundtrack that repeat, in its own time.
func (s *Show) Spans() [][2]time.Duration {
	var out [][2]time.Duration
	for i := range s.Score.Waits {
		if w := &s.Score.Waits[i]; w.Repeats() {
			out = append(out, [2]time.Duration{*w.From, *w.To})
		}
	}
	return out
}

// InTrack is where in its soundtrack, or on its line as written, the show is at an
// instant on its line: a wait that stands keeps the place, a span repeats.
func (s *Show) InTrack(t time.Duration) time.Duration {
	total := time.Duration(0)
	for i := range s.Waits {
		w := &s.Waits[i]
		switch {
		case t < w.Begins:
			return t - total
		case t < w.Begins+w.Gap && w.Repeats():
			return *w.From + (t-w.Begins)%w.Span()
		case t < w.Begins+w.Gap:
			return *w.At
		}
		total += w.Gap
	}
	return t - total
}

// OnLine is the first instant on the show's line at which its written line is at t.
func (s *Show) OnLine(t time.Duration) time.Duration {
	total := time.Duration(0)
	for i := range s.Waits {
		if w := &s.Waits[i]; t >= w.Place() && !w.Open {
			total += w.Gap
		}
	}
	return t + total
}

// Written is which of its cues, as they are written and by time, a cue of the show is: in a
// span that repeats one comes several times.
func (s *Show) Written(cue int) int {
	if s.written == nil {
		return cue
	}
	return slices.IndexFunc(s.written, func(c Cue) bool { return c.Index == s.Cues[cue].Index })
}

// CuesWritten is how many cues the show has as they are written.
func (s *Show) CuesWritten() int {
	if s.written == nil {
		return len(s.Cues)
	}
	return len(s.written)
}
