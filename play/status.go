package play

import (
	"fmt"
	"slices"
	"time"

	"lampblack/evening"
	"lampblack/play/clock"
	"lampblack/play/output"
	"lampblack/show"
)

// Status is where a run stands.
type Status struct {
	State     evening.State // as its events say; In is the clock's own
	Clock     clock.Reading
	ClockName string
	Cue       *show.Cue  // the last that started; nil before the first
	Next      *show.Cue  // nil after the last
	Step      *show.Step // of the evening; nil where the show is all there is
	After     *show.Step // the step that follows; nil after the last
	Late      Lateness
	Outputs   []output.Stats
}

// reportEvery is how often Report is called while nothing happens.
const reportEvery = 100 * time.Millisecond

// status writes what the clock has brought to the log, and tells Report. Events are
// written here, with the frame that first shows them, and not where the clock noticed:
// the log says what the light did.
func (r *run) status(now time.Time, c clock.Reading) {
	i := r.show.CueAt(c.Position)
	if i != r.cue {
		r.cue = i
		if i >= 0 {
			r.happened(now, evening.Cue, r.show.Cues[i].Number.Name)
		}
		r.reported = time.Time{}
	}
	state := r.log.State()
	switch lost := c.State == clock.Lost; {
	case lost && !state.Lost:
		r.happened(now, evening.ClockLost, c.Fault.Text)
		r.reported = time.Time{}
	case !lost && state.Lost:
		r.happened(now, evening.ClockFound, "")
		r.reported = time.Time{}
	case c.State != clock.Freewheels && (c.Speed > 0) != (state.Speed > 0): // a beat that is late is no news
		r.happened(now, evening.Clock, c.Fault.Text)
	}
	if r.o.Report == nil || now.Sub(r.reported) < reportEvery {
		return
	}
	r.reported = now
	s := Status{State: r.log.State().On(now), Clock: c, ClockName: r.clock.Name(), Late: r.late.summary()}
	s.State.In = c.Position
	if i >= 0 {
		s.Cue = &r.show.Cues[i]
	}
	if i+1 < len(r.show.Cues) {
		s.Next = &r.show.Cues[i+1]
	}
	s.Outputs = r.wire.Stats()
	if e := r.o.Evening; e != nil {
		s.Step = &e.Steps[r.index]
		if r.index+1 < len(e.Steps) {
			s.After = &e.Steps[r.index+1]
		}
	}
	r.o.Report(s)
}

// Lateness tells how far past their due times frames were handed out.
type Lateness struct {
	Median, P999, Worst time.Duration
	Missed              int // frames that were never made: the computer stalled
}

func (l Lateness) String() string {
	round := func(d time.Duration) time.Duration { return d.Round(10 * time.Microsecond) }
	return fmt.Sprintf("frames late by %v (median), %v (99.9 %%), %v (worst); %d missed", round(l.Median), round(l.P999), round(l.Worst), l.Missed)
}

// lateness counts in steps of 50 µs up to 100 ms, so that a night needs no more memory
// than a minute. A frame later than 100 ms counts in the last step, and its own
// lateness as the worst.
type lateness struct {
	steps  [2000]int
	worst  time.Duration
	count  int
	missed int
}

const lateStep = 50 * time.Microsecond

func (l *lateness) add(d time.Duration) {
	i := min(max(int(d/lateStep), 0), len(l.steps)-1)
	l.steps[i]++
	l.count++
	l.worst = max(l.worst, d)
}

func (l *lateness) summary() Lateness {
	return Lateness{Median: l.share(.5), P999: l.share(.999), Worst: l.worst, Missed: l.missed}
}

// share returns the lateness that the given share of frames does not exceed.
func (l *lateness) share(p float64) time.Duration {
	need := int(p * float64(l.count))
	sum := 0
	i := slices.IndexFunc(l.steps[:], func(n int) bool { sum += n; return sum > need })
	if i < 0 || l.count == 0 {
		return 0
	}
	return min(time.Duration(i+1)*lateStep, l.worst)
}
