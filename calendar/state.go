package calendar

import (
	"time"

	"lampblack/play/clock"
)

// Kind is what a place does.
type Kind int

// What a place does. Closed is all that is none of the others.
const (
	Closed Kind = iota
	Testing
	StartingUp
	Open
	ClosingDown
)

func (k Kind) String() string {
	return [...]string{"closed", "self-test", "starting up", "open", "closing down"}[k]
}

// State is what a place does at an instant.
type State struct {
	Is     Kind
	Until  time.Time // when that ends, by the clocks of the place; zero when no end is in sight
	Look   string    // that stands meanwhile; "" for none of the calendar's
	Why    string    // whose hours the day has: an exception's reason, a season's name; "" for the week's
	Asleep bool      // triggers do nothing
}

// What is what happens at an instant.
type What int

// What happens. An opening and a closing are each told once; a start-up that begins
// at the very closing, and a close-down that ends as a start-up or a self-test begins,
// show in the state that begins.
const (
	TestBegins What = iota
	TestEnds
	StartUpBegins
	Opens
	Closes
	CloseDownEnds
)

func (w What) String() string {
	return [...]string{"self-test", "self-test ends", "start-up", "opens", "closes", "close-down ends"}[w]
}

// Event is a change of what a place does.
type Event struct {
	At    time.Time // by the clocks of the place
	What  What
	State State // from then on
}

// At returns what the place does at an instant.
func (c *Calendar) At(t time.Time) State {
	var s State
	c.pieces(t, func(p piece) bool {
		s = c.state(p, t)
		return !p.to.IsZero() && !p.to.After(t)
	})
	return s
}

// Next returns the first thing that happens after an instant; false when nothing does
// for 12 years and for as long as the calendar names dates.
func (c *Calendar) Next(t time.Time) (e Event, ok bool) {
	before := Closed
	c.pieces(t, func(p piece) bool {
		if ok = p.from.After(t); ok {
			e = Event{p.from, named(before, p.is), c.state(p, p.from)}
		}
		before = p.is
		return !ok
	})
	return e, ok
}

// named tells what happens as one piece goes over into the next. Opening and closing
// come first, as they are what visitors are told.
func named(before, after Kind) What {
	switch {
	case after == Open:
		return Opens
	case before == Open:
		return Closes
	case after == StartingUp:
		return StartUpBegins
	case after == Testing:
		return TestBegins
	case before == Testing:
		return TestEnds
	}
	return CloseDownEnds
}

// piece is a stretch of one state. Neighbours differ, and none is empty.
type piece struct {
	is       Kind
	from, to time.Time
	why      string // of an opening
}

func (c *Calendar) state(p piece, t time.Time) State {
	s := State{Is: p.is, Until: p.to, Why: p.why, Asleep: c.Asleep && p.is != Open}
	if p.is != Open {
		_, s.Why = c.on(dayAt(c.Zone.location(), t))
	}
	switch p.is {
	case StartingUp:
		s.Look = c.StartUp.Look.Name
	case ClosingDown:
		s.Look = c.CloseDown.Look.Name
	case Testing:
		s.Look = c.SelfTest.Look.Name
	}
	return s
}

// back is how many days before an instant the pieces begin, so that all that bears on
// it is seen: a span over midnight, a look of half a day, and a day that was skipped.
const back = 4

// pieces hands over the pieces around an instant and after it, from some time before it
// on, until yield returns false. The last piece has no end.
func (c *Calendar) pieces(t time.Time, yield func(piece) bool) {
	at := c.Zone.location()
	first := dayAt(at, t) - back
	list := c.openings(first)
	closed, after := clock.Met(at, first.midnight()), time.Duration(0)
	for {
		o, more := list.one()
		up, down := time.Time{}, closed.Add(after)
		if more {
			if up = o.from.Add(-c.StartUp.Before); up.Before(closed) {
				up = closed
			}
			if down.After(up) {
				down = up
			}
		}
		if !c.between(closed, down, up, list.last, yield) || !more {
			return
		}
		if up.Before(o.from) && !yield(piece{is: StartingUp, from: up, to: o.from}) {
			return
		}
		if !yield(piece{Open, o.from, o.to, o.why}) || o.to.IsZero() {
			return
		}
		closed, after = o.to, c.CloseDown.After
	}
}

// between hands over what lies between a closing and the next start-up: close-down until
// down, then closed with the self-tests that fit, until up, which is zero for no end.
func (c *Calendar) between(closed, down, up time.Time, last day, yield func(piece) bool) bool {
	if closed.Before(down) && !yield(piece{is: ClosingDown, from: closed, to: down}) {
		return false
	}
	from, more := down, true
	if c.SelfTest.For > 0 {
		c.tests(dayAt(c.Zone.location(), down)-1, last, func(begin, end time.Time) bool {
			if !up.IsZero() && end.After(up) {
				return false
			}
			if begin.Before(down) {
				return true
			}
			if from.Before(begin) {
				more = yield(piece{is: Closed, from: from, to: begin})
			}
			more = more && yield(piece{is: Testing, from: begin, to: end})
			from = end
			return more
		})
	}
	if more && (up.IsZero() || from.Before(up)) {
		more = yield(piece{is: Closed, from: from, to: up})
	}
	return more
}
