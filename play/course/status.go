package course

import (
	"time"

	"lampblack/evening"
	"lampblack/play/clock"
	"lampblack/show"
)

// Status is how a zone stands, for a person.
type Status struct {
	Zone      string
	State     evening.State // as its events say; In is the clock's own
	Clock     clock.Reading
	ClockName string
	Cue       *show.Cue  // the last that started; nil before the first
	Next      *show.Cue  // nil after the last
	Step      *show.Step // of the evening; nil where the show is all there is
	After     *show.Step // the step that follows; nil after the last

	Waits   bool          // it waits for something
	Ahead   time.Duration // until it comes to the next wait of its piece
	Coming  bool          // there is one, and it has not come to it yet
	Waiting Waiting
	Opening bool          // the soundtrack of the step is being opened
	Over    bool          // the order has come to its end
	Standby string        // what is said before a go that is near; "" while none is
	Notice  string        // a word about what was asked for last
	Violet  bool          // the light that is frozen has ultraviolet in it
	Asked   Action        // Skip or Seek of sound that runs, asked for once; "" for neither
	SkipsTo time.Duration // where that would go
}

// tint tells whether a light has ultraviolet in it.
type tint struct {
	light  evening.Stands
	violet bool
}

// violet tells whether a light that is frozen has ultraviolet in it. It is worked out once for
// each, as a report is told of it ten times a second.
func (z *Zone) violet(light evening.Stands) bool {
	if z.frozen.light != light {
		z.frozen = tint{light, z.show.Ultraviolet(light)}
	}
	return z.frozen.violet
}

// Status says how the zone stands.
func (z *Zone) Status(now time.Time) Status {
	c := z.clock.Read(now)
	s := Status{Zone: z.Name, State: z.log.State().On(now), Clock: c, ClockName: z.clock.Name(), Opening: z.opens != nil, Over: z.Over()}
	s.State.In = c.Position
	i := z.show.CueAt(c.Position)
	if i >= 0 {
		s.Cue = &z.show.Cues[i]
	}
	if i+1 < len(z.show.Cues) {
		s.Next = &z.show.Cues[i+1]
	}
	if !z.o.Stays {
		s.Step = z.Step()
		if z.index+1 < len(z.Evening.Steps) {
			s.After = &z.Evening.Steps[z.index+1]
		}
	}
	s.Waiting, s.Waits = z.waiting(c.Position)
	if w := z.wait(); w != nil && !s.Waits {
		s.Ahead, s.Coming = w.Begins-w.Span()-c.Position, true
	}
	s.Standby = z.warned(c.Position)
	s.Violet = s.State.Frozen && z.violet(s.State.Stands)
	if now.Before(z.notice.until) {
		s.Notice = z.notice.text
	}
	if now.Before(z.asked.until) {
		s.Asked, s.SkipsTo = z.asked.do, z.asked.to
	}
	return s
}

// warned is the standby that is to be given at a place: from a little before the wait, or
// the end of what goes over into it, until the go.
func (z *Zone) warned(at time.Duration) string {
	begins := z.show.Length // what follows a piece may begin on go, or by itself: both are told
	if w := z.wait(); w != nil {
		begins = w.Begins - w.Span()
	}
	if z.Step().Stands() || at >= begins-z.o.Warning {
		return z.standby()
	}
	return ""
}
