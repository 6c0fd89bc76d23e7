package play

import (
	"context"
	"errors"
	"slices"
	"time"

	"lampblack/evening"
	"lampblack/play/clock"
	"lampblack/play/output"
	"lampblack/show"
)

// Rate is the frames in a second when Options says nothing: what a line of
// 512 slots can carry (ANSI E1.11: 92 + 12 + 513 × 44 µs, 44.1 a second).
const Rate = 44

// Options of a run. The zero value runs the whole show from the beginning on
// the computer's clock, to nowhere.
type Options struct {
	// Start is how it begins: In is where on the show's line, Held waits for go.
	// One that has begun (its Step is not 0) was cut off, and goes on.
	Start    evening.State
	For      time.Duration       // how long to run; 0 is to the end
	Rate     float64             // frames in a second; 0 is Rate
	Clock    clock.Clock         // nil is a clock.Wall; Run closes it
	Sinks    []output.Sink       // Run closes them
	Senders  []Sender            // told where the show is; Run closes them
	Commands <-chan Command      // from keys and the page; may be nil
	Report   func(Status)        // called from the loop, some ten times a second
	Zone     string              // what the events call that which is lit
	Journal  func(evening.Event) // called from the loop when something happens
	Lead     time.Duration       // send frames this much ahead of the clock
	Ending   time.Duration       // how long the safe frame is sent at the end; 0 is 200 ms

	// Evening, if there is one, is run instead of the show: step after step, a
	// standing look until go. Open then gives each piece its clock, and how far its
	// frames lead that; Clock and Lead are not used.
	Evening *show.Evening
	Open    func(step int) (clock.Clock, time.Duration, error) // from a goroutine of the run's, which waits for it
}

// Summary is what a run came to.
type Summary struct {
	Frames  int
	Late    Lateness
	End     time.Duration // position at the end
	Outputs []output.Summary
	Report  evening.Report // what happened beside the plan
	Stopped bool           // before the end, by a person or by For
}

// run is a run under way; it belongs to the goroutine that called Run. frames share the
// memory of frame's universes, so what is encoded is what goes out; sinks copy what
// they keep.
type run struct {
	show     *show.Show
	o        Options
	clock    clock.Clock
	wire     *output.Owner
	log      *evening.Log // the state of the run is what its events come to
	frame    *show.Frame
	frames   []output.Frame
	cue      int
	index    int  // of the step; 0 where the show is all there is
	then     then // what a person wants next beyond the step
	late     lateness
	count    int
	reported time.Time
}

// then says where a run goes when a person ends its step.
type then int

// Where a run goes from a step.
const (
	stay then = iota
	leave
	onward   // to the next step, as does a step that ends
	backward // to the one before
)

// Run runs the show, or the evening, until it ends, ctx is done, a person quits, or
// Options.For is over. It returns when every output has been told. Its end is in an
// order that matters: the clock stands, safe frames go out, outputs say goodbye, senders
// end, and only then is the clock's device let go. An error of one keeps none of the
// others from its end.
func Run(ctx context.Context, s *show.Show, o Options) (Summary, error) {
	r := newRun(s, o)
	// Nothing below panics; should it all the same, the lamps get safe light first.
	defer func() { _, _ = r.wire.Close(0) }()
	stopped, err := r.steps(ctx)
	now := time.Now()
	sum := Summary{Frames: r.count, Late: r.late.summary(), End: r.clock.Read(now).Position, Stopped: stopped}
	r.clock.Hold(now)
	r.prepare(r.clock.Read(now).Position)
	var failed error
	sum.Outputs, failed = r.wire.Close(r.o.Ending)
	err = errors.Join(err, failed)
	for _, s := range o.Senders {
		err = errors.Join(err, s.Close())
	}
	r.happened(time.Now(), evening.Ended, sum.Late.String())
	sum.Report = r.log.Report()
	return sum, errors.Join(err, r.clock.Close())
}

func newRun(s *show.Show, o Options) *run {
	r := &run{show: s, o: o, clock: o.Clock, frame: s.NewFrame(), cue: -1}
	if r.clock == nil {
		r.clock = &clock.Wall{}
	}
	if r.o.Rate <= 0 {
		r.o.Rate = Rate
	}
	if r.o.Ending <= 0 {
		r.o.Ending = 200 * time.Millisecond
	}
	for i := range r.frame.Universes {
		u := &r.frame.Universes[i]
		r.frames = append(r.frames, output.Frame{Universe: uint16(u.Number), Slots: u.Slots[:]})
	}
	r.wire = output.Own(o.Sinks, r.o.Rate)
	return r
}

// steps runs one step after another, from that in which the run is to start, and tells
// whether the run was cut short. A show that is all there is is one step.
func (r *run) steps(ctx context.Context) (stopped bool, err error) {
	start, begun := r.o.Start, time.Now()
	if e := r.o.Evening; e != nil {
		r.index = min(max(start.Step-1, 0), len(e.Steps)-1)
	}
	r.log = evening.NewLog(r.o.Zone, r.logged(start), r.o.Journal)
	var seen []float32 // as the step before was left
	for {
		if err := r.enter(seen); err != nil {
			return true, err
		}
		r.begin(time.Now(), start)
		r.prepare(r.clock.Read(time.Now()).Position)
		if stopped := r.loop(ctx, begun); stopped && (r.then == stay || r.then == leave) {
			return true, nil
		}
		to := r.index + 1
		seen = slices.Clone(r.show.Light(r.frame, r.clock.Read(time.Now()).Position+r.o.Lead).Levels)
		if r.then == backward {
			to, seen = max(r.index-1, 0), nil
		}
		if r.o.Evening == nil || to == len(r.o.Evening.Steps) {
			return false, nil
		}
		if err := r.clock.Close(); err != nil {
			return true, err
		}
		r.index, r.then, r.cue, start = to, stay, -1, evening.State{}
		r.clock = &clock.Wall{} // should the next not open
	}
}

// enter takes the show and the clock of the step, which begins with the light that is
// seen; nil is what the order says.
func (r *run) enter(seen []float32) error {
	if r.o.Evening == nil {
		return nil
	}
	step := &r.o.Evening.Steps[r.index]
	if r.show = step.Show; seen != nil {
		r.show = r.o.Evening.Enter(r.index, seen)
	}
	r.clock, r.o.Lead = &clock.Wall{}, 0
	if step.Stands() {
		return nil
	}
	c, lead, err := r.open(r.index)
	if err != nil {
		return err
	}
	r.clock, r.o.Lead = c, lead
	return nil
}

// open opens the clock of a piece. A long soundtrack takes seconds to be decoded: until
// it is there the frame that was sent last goes out again, so that no unit takes the
// silence for the end of the data. Before the first frame of a run nothing is sent.
func (r *run) open(step int) (c clock.Clock, lead time.Duration, err error) {
	opened := make(chan struct{})
	go func() {
		defer close(opened)
		c, lead, err = r.o.Open(step)
	}()
	tick := time.NewTicker(time.Duration(float64(time.Second) / r.o.Rate))
	defer tick.Stop()
	for {
		select {
		case <-opened:
			return c, lead, err
		case <-tick.C:
			if r.count > 0 {
				r.wire.Send(r.frames, time.Now())
			}
		}
	}
}

// stands tells whether the run is in a standing look, which go ends.
func (r *run) stands() bool {
	return r.o.Evening != nil && r.o.Evening.Steps[r.index].Stands()
}

// logged is the state that the log goes on from.
func (r *run) logged(start evening.State) evening.State {
	if r.resumes(start) {
		return start.On(time.Now())
	}
	return evening.State{Pass: start.Pass}
}

// begin starts the clock of a step. A run that takes up one that was cut off goes on
// from where that would be by now, if its clock had gone on.
func (r *run) begin(now time.Time, start evening.State) {
	kind := evening.Began
	if r.resumes(start) {
		kind = evening.Resumed
	}
	in := max(start.On(now).In, 0)
	if !r.stands() {
		in = min(in, r.show.Length)
	}
	r.clock.Run(now, in)
	if start.Held {
		r.clock.Hold(now)
	}
	e := r.event(now, kind, 0)
	e.From, e.Text, e.Version = e.At, "clock: "+r.clock.Name(), string(r.show.Version())
	if r.o.Evening != nil {
		e.Step, e.Text = r.index+1, r.o.Evening.Steps[r.index].Name()+"; "+e.Text
	}
	r.log.Append(e)
	if start.Held && kind == evening.Began {
		r.happened(now, evening.Hold, "")
	}
}

// resumes tells whether a run that was cut off is taken up: its state has an instant.
func (*run) resumes(start evening.State) bool { return start.Step != 0 && !start.Instant.IsZero() }

// loop sends frames until the run is over and tells whether it was cut short. Due times
// are multiples from the start, in floating point: rounding each to a nanosecond moves
// no frame, while adding a rounded period would move all of them. A frame due at the
// same time as the run's end is not sent.
func (r *run) loop(ctx context.Context, begun time.Time) (stopped bool) {
	start := time.Now()
	period := float64(time.Second) / r.o.Rate
	timer := time.NewTimer(0)
	defer timer.Stop()
	for i := 0; ; i++ {
		due := start.Add(time.Duration(float64(i) * period))
		if missed := int(float64(time.Since(due)) / period); missed > 0 {
			// The computer slept or stalled: go on from now, count what was lost.
			r.late.missed += missed
			i += missed
			due = start.Add(time.Duration(float64(i) * period))
		}
		timer.Reset(time.Until(due))
		if quit := r.wait(ctx, timer.C); quit {
			return true
		}
		if r.o.For > 0 && due.Sub(begun) >= r.o.For {
			return true
		}
		r.late.add(time.Since(due))
		if over := r.send(due); over && !r.log.State().Held && !r.log.State().LightsUp {
			return false
		}
	}
}

// wait sleeps until the frame is due, obeying commands meanwhile.
func (r *run) wait(ctx context.Context, due <-chan time.Time) (quit bool) {
	for {
		select {
		case <-ctx.Done():
			return true
		case c := <-r.o.Commands:
			if r.obey(c) {
				return true
			}
		case <-due:
			return false
		}
	}
}

// send computes and hands out one frame and tells whether the show is over. Senders are
// told that the show runs while the clock freewheels too: whatever follows them is to
// go on as the light does; with lights up it is not, as time stands then.
func (r *run) send(due time.Time) (over bool) {
	now := time.Now()
	c := r.clock.Read(now)
	state := r.log.State().On(now)
	state.In = c.Position + r.o.Lead
	r.show.AtState(r.frame, state)
	r.wire.Send(r.frames, due)
	now = time.Now()
	for _, s := range r.o.Senders {
		s.Update(now, c.Position, (c.Speed > 0 || c.State == clock.Freewheels) && !state.LightsUp)
	}
	r.count++
	r.status(now, c)
	return c.Position >= r.show.Length && !r.stands()
}

// prepare makes the safe frame of a place: lights up, ultraviolet and flashing off.
func (r *run) prepare(position time.Duration) {
	state := r.log.State()
	state.In, state.LightsUp, state.Up = position, true, show.LightsUpTime
	r.show.AtState(r.frame, state)
	r.wire.Prepare(r.frames)
}
