// Package course takes a zone through its running order: call Begin, then Tick
// again and again, and Light for the frame of an instant; Do and Trigger say what
// a person or a contact wants meanwhile.
//
//	       go, a time, a trigger          its end               after the last
//	rest ───────────────────────▶ piece ─────────▶ interval ─ … ──────────────▶ over,
//	  ▲                                                                         or rest
//	  └──────────────── longest stay ─────────────────┘
//
// Every call is given the instant at which it happens, and nothing here looks at
// the computer's clock or sleeps (but to tell how long [Zone.Begin] waited for a
// clock), so that a year of a museum can be gone through in seconds with what runs it
// at night ([Zone.Next] says when to call again). What happens is written to a log; how
// the zone stands is what that comes to.
//
// A step begins with the light that is seen when go comes, or what the order says
// came before. A wait inside a piece is a gap in its line ([show.Wait]): while it is
// open, nothing behind it is on the line.
package course

import (
	"slices"
	"time"

	"lampblack/evening"
	"lampblack/living"
	"lampblack/play/clock"
	"lampblack/show"
	"lampblack/si"
)

// Options say how a zone runs. The zero value goes by the given instants, writes no
// log, and lets its frames lead by nothing.
type Options struct {
	// Open gives the clock of a piece, and how far frames lead it. It is called from a
	// goroutine, which the zone waits for; nil is the computer's clock for all.
	Open func(step int) (clock.Clock, time.Duration, error)
	// Journal is told what happens.
	Journal func(evening.Event)
	// Warning is how long before a go the standby is given.
	Warning time.Duration
	// Stays keeps the zone from going over into other steps, for a place of one show.
	Stays bool
	// Rests lets the last look stand when the order is over, until go: the closing picture
	// stays, and a person brings the house light.
	Rests bool
	// Again is how soon after a go another counts: a button that bounces, or a hand that
	// does not trust it, is one go.
	Again time.Duration
	// Ear hears what light goes by where a step has no soundtrack; nil is none.
	Ear *living.Ear
}

// Zone is a zone on its way. Its methods belong to one goroutine.
type Zone struct {
	*show.PlacedZone
	o Options

	index   int        // of the step
	entered *show.Show // the step's show with the light at entry; its waits last their longest
	show    *show.Show // the same with the waits as they were
	gaps    []time.Duration
	clock   clock.Clock
	lead    time.Duration
	log     *evening.Log
	cue     int

	begun  time.Time   // the step
	left   time.Time   // the rest look
	frame  *show.Frame // for what is seen as a step is left
	frozen tint        // the light that is frozen, if any was told of
	opens  *opening    // while the clock of the step is opened
	went   time.Time   // when go was pressed last, and counted
	last   then        // what a person wants beyond the step
	notice notice
	asked  asked
	over   bool
	early  bool // another machine, which is followed, has not begun the step
	failed error
}

// then says where a zone goes when a person ends its step.
type then int

// Where a zone goes from a step.
const (
	stay     then = iota
	onward        // to the next step, as does a step that ends
	backward      // to the one before
	rest          // to the first
)

// notice is a word to a person, until a time.
type notice struct {
	text  string
	until time.Time
}

// asked is a jump of sound that runs which was asked for once, until a time.
type asked struct {
	do    Action
	to    time.Duration
	until time.Time
}

// noticed is how long a word to a person is shown.
const noticed = 5 * time.Second

// opening is a clock that is being opened.
type opening struct {
	done  chan struct{}
	clock clock.Clock
	lead  time.Duration
	err   error
	start evening.State
}

// New returns a zone that has not begun.
func New(z *show.PlacedZone, o Options) *Zone {
	return &Zone{PlacedZone: z, o: o, clock: &clock.Wall{}, cue: -1}
}

// Begin begins in a step, which counts from 1: 0 is the first. A state that has an
// instant is that of a run which was cut off; it goes on from where that would be by now.
// It waits for the clock of the step.
func (z *Zone) Begin(now time.Time, start evening.State) error {
	z.index = min(max(start.Step-1, 0), len(z.Evening.Steps)-1)
	from := evening.State{Pass: start.Pass}
	if resumes(start) {
		from = start.On(now)
	}
	z.log = evening.NewLog(z.Name, from, z.o.Journal)
	z.enter(now, z.entering(start.Enters), start)
	if z.opens != nil {
		asked := time.Now()
		<-z.opens.done
		z.take(now.Add(time.Since(asked)))
	}
	return z.failed
}

// entering is the light with which a step began, as a log has it; nil for what the order says,
// and where it is of another rig.
func (z *Zone) entering(light evening.Stands) []float32 {
	levels := light.Levels()
	if len(levels) == 0 || len(levels) != len(z.Step().Show.Rig.Drives) {
		return nil
	}
	return levels
}

// resumes tells whether a run that was cut off is taken up: its state has an instant.
func resumes(start evening.State) bool { return start.Step != 0 && !start.Instant.IsZero() }

// Step is the step in which the zone is.
func (z *Zone) Step() *show.Step { return &z.Evening.Steps[z.index] }

// Index is which of the zone's steps that is, from 0.
func (z *Zone) Index() int { return z.index }

// Show is what the zone plays: its step with the light at entry, and with the waits as
// they were.
func (z *Zone) Show() *show.Show { return z.show }

// Clock is what the step goes by.
func (z *Zone) Clock() clock.Clock { return z.clock }

// Log is what happened.
func (z *Zone) Log() *evening.Log { return z.log }

// Over tells whether the zone has come to the end of its order.
func (z *Zone) Over() bool { return z.over }

// enter takes the show of the step, which begins with the light that is seen (nil: what
// the order says), and has its clock opened.
func (z *Zone) enter(now time.Time, seen []float32, start evening.State) {
	step := z.Step()
	z.entered = step.Show
	if seen != nil {
		z.entered = z.Evening.Enter(z.index, seen)
	}
	z.cue, z.last = -1, stay
	z.clock, z.lead, z.opens = clock.Own(Loops(step.Show)), 0, nil
	z.show, z.gaps = z.entered, nil
	if step.Stands() || z.o.Open == nil {
		z.begin(now, start)
		return
	}
	z.opens = &opening{done: make(chan struct{}), start: start}
	go func(o *opening, step int) {
		defer close(o.done)
		o.clock, o.lead, o.err = z.o.Open(step)
	}(z.opens, z.index)
}

// Loops are the marked spans of a show's soundtrack, as its clock repeats them.
func Loops(s *show.Show) []clock.Loop {
	var out []clock.Loop
	for _, span := range s.Spans() {
		out = append(out, clock.Loop{From: span[0], To: span[1]})
	}
	return out
}

// take takes the clock that was opened.
func (z *Zone) take(now time.Time) {
	o := z.opens
	z.opens = nil
	if o.err != nil {
		z.failed = o.err
		return
	}
	if o.clock != nil {
		z.clock, z.lead = o.clock, o.lead
	}
	z.begin(now, o.start)
}

// opened tells whether the step has its clock, and takes it when it is there: not while the
// lights are up, for a step that begins brings its own light.
func (z *Zone) opened(now time.Time) bool {
	if z.opens == nil {
		return true
	}
	if z.log.State().LightsUp {
		return false
	}
	select {
	case <-z.opens.done:
		z.take(now)
		return z.failed == nil
	default:
		return false
	}
}

// begin starts the clock of the step.
func (z *Zone) begin(now time.Time, start evening.State) {
	kind := evening.Began
	if resumes(start) {
		kind = evening.Resumed
	}
	z.gaps = start.Waited.Gaps(len(z.entered.Score.Waits))
	if !resumes(start) && start.In > 0 {
		start.In = z.place(start.In)
	}
	in := max(start.On(now).In, 0)
	z.stretch(in)
	if !z.Step().Stands() && !z.open() {
		in = min(in, z.show.Length)
	}
	z.begun = now
	if z.index > 0 && z.left.IsZero() {
		z.left = now
	}
	if start.Lowered > 0 {
		z.lower(si.Decibels(-start.Lowered), 0)
	}
	z.run(now, in)
	if start.Held {
		z.clock.Hold(now)
	}
	e := z.event(now, kind, 0)
	e.From, e.Text, e.Version = e.At, "clock: "+z.clock.Name(), string(z.show.Version())
	if z.entered != z.Step().Show {
		e.Enters = evening.Stand(z.entered.Enters())
	}
	if !z.o.Stays {
		e.Step, e.Text = z.index+1, z.Step().Name()+"; "+e.Text
	}
	z.log.Append(e)
	if start.Held && kind == evening.Began {
		z.happened(now, evening.Hold, "")
	}
}

// leave goes to another step: with the light that is seen, or when a person goes back
// with what the order says.
func (z *Zone) leave(now time.Time, to int) {
	var seen []float32
	if z.last != backward {
		seen = z.seen(now)
	}
	switch {
	case to < 0:
		to = 0
	case to == len(z.Evening.Steps) && z.Repeats:
		to = 0
	case to == len(z.Evening.Steps):
		z.over = true
		return
	}
	if err := z.clock.Close(); err != nil {
		z.failed = err
		return
	}
	if to == 0 {
		z.left = time.Time{}
	}
	z.index = to
	z.enter(now, seen, evening.State{})
}

// Tick lets time go on to an instant: what ends by itself ends, what waits for a time is
// released, what the clock has brought is written to the log. It tells whether the order
// is over.
func (z *Zone) Tick(now time.Time) (over bool, err error) {
	if z.over || z.failed != nil || !z.opened(now) {
		return z.over, z.failed
	}
	c := z.clock.Read(now)
	z.watch(now, c)
	switch state := z.log.State(); {
	case state.LightsUp: // no step begins, as it would bring its own light; what was asked for waits
	case z.last == onward:
		z.leave(now, z.index+1)
	case z.last == backward:
		z.leave(now, z.index-1)
	case z.last == rest:
		z.leave(now, 0)
	case state.Held: // nothing goes on by itself
	case z.stayed(now):
		z.leave(now, 0)
	case z.due(now, c.Position):
		z.release(now, c.Position)
	case z.Step().Stands() || z.open():
	case z.rests(c.Position):
		z.clock.Hold(now)
		z.happened(now, evening.Hold, orderOver)
		z.say(now, orderOver+"; "+goEnds)
	case c.Position >= z.show.Length:
		z.leave(now, z.index+1)
	}
	return z.over, z.failed
}

// stayed tells whether the zone was away from its rest look for too long.
func (z *Zone) stayed(now time.Time) bool {
	d := time.Duration(z.Stay)
	return z.Repeats && d > 0 && z.index > 0 && !z.left.IsZero() && now.Sub(z.left) >= d
}

// Light fills the frame with the zone's light at an instant. While the clock of a step is
// opened, which may take seconds, the light that stood goes on.
func (z *Zone) Light(f *show.Frame, now time.Time) {
	s, state := z.lit(now)
	s.AtHeard(f, state, z.o.Ear)
}

// lit is what the zone's light at an instant is a function of: that which stands while the
// next step is opened (that of the step before) or at the end (that of the last), or else
// where the clock is.
func (z *Zone) lit(now time.Time) (*show.Show, evening.State) {
	state := z.log.State().On(now)
	switch {
	case z.over:
		state.In = z.show.Length
	case z.opens != nil || z.early:
		state.In = beforeAll
		return z.entered, state
	default:
		state.In = z.clock.Read(now).Position + z.lead
	}
	return z.show, state
}

// seen is the light of the step at an instant, but for lights that a hand has brought up.
func (z *Zone) seen(now time.Time) []float32 {
	if z.frame == nil {
		z.frame = z.show.NewFrame()
	}
	z.show.LightAs(z.frame, z.clock.Read(now).Position+z.lead, z.log.State().On(now).Living, z.o.Ear)
	return slices.Clone(z.frame.Levels)
}

// beforeAll is a place before any cue, where a step has the light with which it begins.
const beforeAll = -24 * time.Hour

// Close ends the clock, and waits for one that is being opened.
func (z *Zone) Close() error {
	if o := z.opens; o != nil {
		<-o.done
		if o.clock != nil {
			_ = o.clock.Close()
		}
	}
	return z.clock.Close()
}
