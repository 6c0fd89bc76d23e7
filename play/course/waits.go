package course

import (
	"time"

	"lampblack/evening"
	"lampblack/play/clock"
	"lampblack/score"
	"lampblack/show"
)

// wait is the first wait of the piece that has not ended; nil when none is left.
func (z *Zone) wait() *show.Wait {
	if len(z.gaps) < len(z.show.Waits) {
		return &z.show.Waits[len(z.gaps)]
	}
	return nil
}

// open tells whether the piece has a wait that has not ended, so that its end is not on
// its line yet.
func (z *Zone) open() bool { return z.wait() != nil }

// Waiting is what the zone waits for at an instant.
type Waiting struct {
	Until   score.Until
	For     time.Duration // how long it has waited; of a span, what it has added to the line
	Most    time.Duration // how long it may
	Usually time.Duration
	Standby string // what is said before the go

	since time.Duration // the place on the line at which it began
}

// waiting is what is waited for at a place on the line: by a standing look, or by a piece
// that has come to a wait. ok is false where nothing waits.
func (z *Zone) waiting(at time.Duration) (w Waiting, ok bool) {
	if s := z.Step(); s.Stands() {
		return Waiting{Until: s.Until, For: at, Most: time.Duration(s.Most), Usually: time.Duration(s.Usually), Standby: z.standby()}, true
	}
	next := z.wait()
	if next == nil || at < next.Begins-next.Span() {
		return Waiting{}, false
	}
	return Waiting{Until: next.Until, For: max(at-next.Begins, 0), Most: time.Duration(next.Most), Usually: time.Duration(next.Usually),
		Standby: next.Standby, since: next.Begins - next.Span()}, true
}

// standby is what is said before the next go: that of the wait that comes, or of the
// step that follows.
func (z *Zone) standby() string {
	if w := z.wait(); w != nil {
		return w.Standby
	}
	if z.index+1 < len(z.Evening.Steps) {
		return z.Evening.Steps[z.index+1].Standby
	}
	return ""
}

// late is by how much a time of day may have passed when a wait for it begins: within
// that it is over at once, later the next day is meant. Common practice, no source.
const late = 2 * time.Hour

// releases is the instant at which a wait is over by itself; ok is false for one that is
// not. A trigger that does not come is waited for no longer than the wait may last, for
// nobody may be there; but the rest look of a zone that repeats waits for ever.
func (z *Zone) releases(now time.Time, at time.Duration) (instant time.Time, ok bool) {
	waiting, ok := z.waiting(at)
	if !ok {
		return instant, false
	}
	began := now.Add(waiting.since - at)
	after := func(d time.Duration) time.Time {
		if w := z.wait(); w != nil && w.Repeats() {
			return now.Add(w.Begins - at + w.Whole(d) - w.Span() + min(w.Span()/4, settled))
		}
		return began.Add(d)
	}
	switch until := waiting.Until; {
	case until.After > 0:
		return after(until.After), true
	case until.Timed:
		return clock.At(began.Add(-late), until.Clock), true
	case until.Trigger != "" && !(z.Repeats && z.index == 0):
		return after(waiting.Most), true
	}
	return instant, false
}

// settled is how far into the last pass of a span it is released that is left by itself:
// what a wait lasts is what it adds to the line, rounded up to whole passes, and a clock
// that is a little early must not take it for the pass before.
const settled = 50 * time.Millisecond

// due tells whether what the zone waits for has come by itself.
func (z *Zone) due(now time.Time, at time.Duration) bool {
	instant, ok := z.releases(now, at)
	return ok && !now.Before(instant)
}

// release ends what the zone waits for.
func (z *Zone) release(now time.Time, at time.Duration) {
	if z.Step().Stands() {
		z.leave(now, z.index+1)
		return
	}
	w := z.wait()
	gap := max(at-w.Begins, 0)
	if w.Repeats() {
		gap = z.passes(now) * w.Span()
	}
	z.gaps = append(z.gaps, gap.Round(time.Microsecond)) // as the log has it
	z.stretch(at)
	z.happened(now, evening.Released, w.Until.String())
}

// passes is how often the span will have repeated when it is left: a device that has been
// handed the beginning of one more pass plays that too. A clock that follows another machine
// knows nothing of spans, and leaves them at once.
func (z *Zone) passes(now time.Time) time.Duration {
	if l, ok := z.clock.(clock.Looping); ok {
		return time.Duration(max(l.Release(now)-1, 0))
	}
	return 0
}

// covers is how far ahead the cues of a span that repeats are laid on the line.
const covers = 10 * time.Minute

// stretch puts the show on the line of the waits that have ended.
func (z *Zone) stretch(at time.Duration) {
	if len(z.entered.Waits) == 0 {
		return
	}
	z.show = z.entered.Waited(z.gaps, at+covers)
}

// cover lays more of a span that repeats on the line before the zone comes to its end.
func (z *Zone) cover(at time.Duration) {
	if w := z.wait(); w != nil && w.Repeats() && w.Begins+w.Gap-at < covers/2 {
		z.stretch(at)
	}
}

// run starts the clock at a place on the line. Sound that repeats is told how often it has.
func (z *Zone) run(now time.Time, at time.Duration) {
	l, ok := z.clock.(clock.Looping)
	if !ok {
		z.clock.Run(now, at)
		return
	}
	var passes []int
	for i, gap := range z.gaps {
		if w := &z.show.Waits[i]; w.Repeats() {
			passes = append(passes, 1+int(gap/w.Span()))
		}
	}
	l.RunAfter(now, at, passes)
}

// place is where on the line of the waits as they usually are a place lies that is told on
// the line where they last their longest, as pages and checks have it. It sets the gaps: a
// place inside a wait is one at which it has begun.
func (z *Zone) place(at time.Duration) time.Duration {
	z.gaps = nil
	over := time.Duration(0) // by how much the longest line is ahead
	for i, usual := range z.entered.UsualGaps(len(z.entered.Waits)) {
		w := &z.entered.Waits[i]
		if at < w.Begins+w.Gap {
			break
		}
		over += w.Gap - usual
		z.gaps = append(z.gaps, usual)
	}
	return at - over
}

// keep keeps the gaps of the waits that are over at a place on the line.
func (z *Zone) keep(at time.Duration) {
	for i := range z.gaps {
		if w := &z.show.Waits[i]; at < w.Begins+w.Gap {
			z.gaps = z.gaps[:i]
			return
		}
	}
}

// Waits is what the zone waits for at an instant; ok is false where it waits for nothing.
func (z *Zone) Waits(now time.Time) (w Waiting, ok bool) {
	if z.opens != nil || z.over || z.failed != nil {
		return Waiting{}, false
	}
	return z.waiting(z.clock.Read(now).Position)
}
