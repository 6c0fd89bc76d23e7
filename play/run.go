package play

import (
	"context"
	"errors"
	"time"

	"lampblack/play/output"
	"lampblack/show"
)

// Rate is the frames in a second when Options says nothing: what a line of
// 512 slots can carry (ANSI E1.11: 92 + 12 + 513 × 44 µs, 44.1 a second).
const Rate = 44

// Options of a run. The zero value runs the whole show from the beginning on
// the wall clock, to nowhere.
type Options struct {
	From     time.Duration  // where on the show's line to begin
	For      time.Duration  // how long to run; 0 is to the end
	Rate     float64        // frames in a second; 0 is Rate
	Held     bool           // wait for Go before anything runs
	Clock    Clock          // nil is a WallClock
	Sinks    []output.Sink  // Run closes them
	Senders  []Sender       // told where the show is; Run closes them
	Commands <-chan Command // from keys and the page; may be nil
	Report   func(Status)   // called from the loop, some ten times a second
	Journal  func(Entry)    // called from the loop when something happens
	Lead     time.Duration  // send frames this much ahead of the clock
	Ending   time.Duration  // how long the safe frame is sent at the end; 0 is 200 ms
}

// Summary is what a run came to.
type Summary struct {
	Frames  int
	Late    Lateness
	End     time.Duration // position at the end
	Outputs []OutputSummary
	Stopped bool // before the end, by a person or by For
}

// OutputSummary is what became of one output.
type OutputSummary struct {
	Name  string
	Stats output.Stats
	Error string
}

// run is a run under way; it belongs to the goroutine that called Run.
type run struct {
	show     *show.Show
	o        Options
	clock    Clock
	frame    *show.Frame
	frames   []output.Frame
	held     bool
	lightsUp bool
	upSince  time.Time
	cue      int
	late     lateness
	count    int
	reported time.Time
}

// Run runs the show until it ends, ctx is done, a person quits, or Options.For
// is over. It returns when every output has been told.
func Run(ctx context.Context, s *show.Show, o Options) (Summary, error) {
	r := &run{show: s, o: o, clock: o.Clock, frame: s.NewFrame(), cue: -1, held: o.Held}
	if r.clock == nil {
		r.clock = &WallClock{}
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
	r.clock.Run(o.From)
	if r.held {
		r.clock.Hold()
	}
	r.note("run", "clock: "+r.clock.Name())
	stopped := r.loop(ctx)
	sum := Summary{Frames: r.count, Late: r.late.summary(), End: r.clock.Position(), Stopped: stopped}
	r.clock.Hold()
	r.finish()
	var err error
	sum.Outputs, err = closeAll(o.Sinks)
	for _, s := range o.Senders {
		err = errors.Join(err, s.Close())
	}
	r.note("end", sum.Late.String())
	return sum, errors.Join(err, r.clock.Close())
}

// loop sends frames until the run is over and tells whether it was cut short.
func (r *run) loop(ctx context.Context) (stopped bool) {
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
		if r.o.For > 0 && due.Sub(start) >= r.o.For {
			return true
		}
		r.late.add(time.Since(due))
		if r.send(due) && !r.held && !r.lightsUp {
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

// send computes and hands out one frame and tells whether the show is over.
func (r *run) send(due time.Time) (over bool) {
	position := r.clock.Position()
	r.show.At(r.frame, position+r.o.Lead)
	if r.lightsUp {
		r.show.LightsUp(r.frame, float32(min(time.Since(r.upSince).Seconds()/lightsUpTime.Seconds(), 1)))
	}
	for _, s := range r.o.Sinks {
		_ = s.Send(r.frames, due) // an output's errors are in its Stats
	}
	now := time.Now()
	for _, s := range r.o.Senders {
		s.Update(now, position, !r.held && !r.lightsUp)
	}
	r.count++
	r.status(position)
	return position >= r.show.Length
}

// lightsUpTime is how long the lights take to come up: fast, without a flash.
const lightsUpTime = 500 * time.Millisecond

// finish sends safe frames: lights up, ultraviolet and flashing off. Units
// hold what they got last, so it must be said, several times, before the
// streams end.
func (r *run) finish() {
	period := time.Duration(float64(time.Second) / r.o.Rate)
	position := r.clock.Position()
	start := time.Now()
	for i := range int(r.o.Ending/period) + 3 {
		due := start.Add(time.Duration(i) * period)
		time.Sleep(time.Until(due))
		r.show.At(r.frame, position)
		r.show.LightsUp(r.frame, 1)
		for _, s := range r.o.Sinks {
			_ = s.Send(r.frames, due)
		}
	}
}

func closeAll(sinks []output.Sink) ([]OutputSummary, error) {
	var all []error
	var out []OutputSummary
	for _, s := range sinks {
		err := s.Close()
		sum := OutputSummary{Name: s.Name(), Stats: s.Stats()}
		if err != nil {
			sum.Error = err.Error()
			all = append(all, err)
		}
		out = append(out, sum)
	}
	return out, errors.Join(all...)
}
