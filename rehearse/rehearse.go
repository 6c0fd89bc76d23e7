// Package rehearse goes through days of a place, or nights of an evening, in
// simulated time: call [Run] and read the [Report]. Groups of people arrive at random,
// walk through the zones in their order, trip triggers, wait, leave; somebody gives the
// goes of what waits for one. The zones are taken through their orders by the very code
// that runs them (package play/course), so what comes out is what the files say.
//
//	arrivals ─▶ queue ─▶ in zone 1 ─▶ queue ─▶ in zone 2 ─ … ─▶ out
//	                      │ trips its triggers        light × time ─▶ lamp hours, dose
//	                      ▼
//	               play/course.Place ◀── opening hours, times, goes
//
// Arrivals are a Poisson process at a rate (groups are independent of one another);
// group sizes are geometric, how long somebody stays is log-normal about what a zone
// takes: common practice of such models, no source. The same seed gives the same days.
//
// It does not see panic, school classes at the door, a beam that is blocked by a bag;
// its people do not turn back. Doses are those of eyes that the room has, the worst of
// them for visitors: where somebody really stands is not known.
package rehearse

import (
	"context"
	"math/rand/v2"
	"time"

	"lampblack/calendar"
	"lampblack/play/course"
	"lampblack/show"
)

// Options say what is rehearsed. The zero value of a field is what its comment says.
type Options struct {
	From     time.Time          // the first day; required
	Days     int                // how many; 0 is 1
	PerHour  float64            // people an hour while the place is open; 0 is nobody, as in an evening
	Group    float64            // people in a group, on the mean; 0 is 2.5
	Seed     uint64             // of all that is random
	Hours    *calendar.Calendar // nil is open from 10:00 to 18:00 of every day, by From's clock
	Triggers *show.Triggers     // their times; nil has none
	Progress func(share float64)
}

// Numbers of the model, none with a source.
const (
	meanGroup  = 2.5
	between    = 2 * time.Second        // two people of a group passing a beam, on the mean
	passing    = 600 * time.Millisecond // a person is in a beam
	impatient  = .1                     // of groups do not wait for the one before
	spread     = .35                    // of the logarithm of how long somebody stays
	strolling  = 2 * time.Minute        // in a zone that nothing starts
	opensFrom  = 10 * time.Hour
	opensUntil = 18 * time.Hour
)

// Run rehearses. The error is ctx's, or that of a place that cannot begin.
func Run(ctx context.Context, p *show.Place, o Options) (*Report, error) {
	s := newSimulation(p, o)
	if err := s.run(ctx); err != nil {
		return nil, err
	}
	return s.report(), nil
}

// simulation is a rehearsal under way.
type simulation struct {
	o     Options
	place *course.Place
	of    *show.Place
	rng   *rand.Rand
	now   time.Time
	end   time.Time
	began time.Time // the evening
	over  bool      // a go ended it

	events   queue
	zones    []*zone
	triggers map[string]*beam
	light    *meter

	open   time.Duration // how long the place was open
	groups int
	people int
	walks  []float64 // J/m² of UV-A that each visitor had, the worst eye
	hours  [24]Hour
	opened int
	closed int
	nights []time.Duration // how long each evening took that is not repeated
}

func newSimulation(p *show.Place, o Options) *simulation {
	if o.Days <= 0 {
		o.Days = 1
	}
	if o.Group < 1 {
		o.Group = meanGroup
	}
	s := &simulation{o: o, of: p, rng: rand.New(rand.NewPCG(o.Seed, 20)), now: o.From, triggers: map[string]*beam{}}
	s.end = s.midnight(o.Days)
	s.light = newMeter(p)
	for i := range p.Zones {
		s.zones = append(s.zones, newZone(&p.Zones[i], len(p.Rig.Drives), o.Triggers))
	}
	if len(s.zones) == 1 && s.zones[0].entry == "" && !s.zones[0].Repeats {
		s.o.PerHour = 0 // an audience is there from the beginning to the end
	}
	if o.Triggers != nil {
		for i := range o.Triggers.Triggers {
			e := &o.Triggers.Triggers[i]
			s.triggers[e.Name] = &beam{Trigger: &e.Value}
		}
	}
	return s
}

// midnight is the beginning of a later day, by the clocks of the place.
func (s *simulation) midnight(later int) time.Time {
	if s.o.Hours != nil {
		return s.o.Hours.Midnight(s.o.From, later)
	}
	y, m, d := s.o.From.Date()
	return time.Date(y, m, d+later, 0, 0, 0, 0, s.o.From.Location())
}

// isOpen tells whether visitors are let in at an instant, and until when that stays so.
func (s *simulation) isOpen(t time.Time) (open bool, until time.Time) {
	if c := s.o.Hours; c != nil {
		state := c.At(t)
		if until = state.Until; until.IsZero() {
			until = s.end
		}
		return state.Is == calendar.Open, until
	}
	y, m, d := t.Date()
	at := func(day int, since time.Duration) time.Time {
		return time.Date(y, m, d+day, int(since/time.Hour), 0, 0, 0, t.Location())
	}
	switch from, to := at(0, opensFrom), at(0, opensUntil); {
	case t.Before(from):
		return false, from
	case t.Before(to):
		return true, to
	}
	return false, at(1, opensFrom)
}

// run lets time leap from one thing that happens to the next.
func (s *simulation) run(ctx context.Context) error {
	s.begin()
	for n := 0; ; n++ {
		if n%256 == 0 {
			if ctx.Err() != nil {
				return ctx.Err()
			}
			if s.o.Progress != nil {
				s.o.Progress(float64(s.now.Sub(s.o.From)) / float64(s.end.Sub(s.o.From)))
			}
		}
		next := s.end
		if t, ok := s.place.Next(s.now); ok && t.Before(next) {
			next = t
		}
		if t, ok := s.events.next(); ok && t.Before(next) {
			next = t
		}
		s.pass(later(next, s.now))
		if !s.now.Before(s.end) {
			return nil
		}
		if err := s.tick(); err != nil {
			return err
		}
		for {
			e, ok := s.events.due(s.now)
			if !ok {
				break
			}
			e.do()
		}
		if s.over {
			s.again()
		}
	}
}

// later is the later of two instants.
func later(a, b time.Time) time.Time {
	if a.Before(b) {
		return b
	}
	return a
}
