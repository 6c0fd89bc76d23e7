package play

import (
	"context"
	"errors"
	"time"

	"lampblack/calendar"
	"lampblack/evening"
	"lampblack/play/clock"
	"lampblack/play/course"
	"lampblack/play/governor"
	"lampblack/play/hand"
	"lampblack/play/output"
	"lampblack/play/trigger"
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
	Start     evening.State
	For       time.Duration                            // how long to run; 0 is to the end
	Rate      float64                                  // frames in a second; 0 is Rate
	Clock     clock.Clock                              // nil is a clock.Wall; Run closes it
	Sinks     []output.Sink                            // Run closes them
	Wire      Wire                                     // has the sinks, which then only say how they do; nil is one of this process
	KeepsWire bool                                     // the wire stays open when the run ends: another run has it next
	Ahead     time.Duration                            // how long before it is due a frame is made and handed to the wire
	Senders   []Sender                                 // told where the show is; Run closes them
	Commands  <-chan Command                           // from keys and the page; may be nil
	Triggers  <-chan trigger.Fired                     // from contacts and other machines; may be nil
	Hand      <-chan hand.Change                       // what a hand holds over the show; may be nil
	Mixer     *hand.Mixer                              // what it holds already, for a run that goes on where another was; nil is nothing
	Doors     <-chan string                            // what a round before doors came to; may be nil
	Alarm     Alarm                                    // what may say that there is danger; may be nil
	Report    func(Status)                             // called from the loop, some ten times a second
	Zone      string                                   // what the events call that which is lit
	Journal   func(evening.Event)                      // called from the loop when something happens
	Ends      func()                                   // called when the run is over, before the last light is sent; may be nil
	Tell      func(zones []course.Told, happened bool) // how the zones stand, for another machine: called from the loop as Report is, happened when something has
	Flashes   governor.Allowed                         // that may go out in a second, where somebody has signed for more than the rules allow
	LostLook  string                                   // that stands while the clock is lost and stands; "" is the light as it was
	Others    func() []Trouble                         // what is wrong with what stands beside the outputs; called from the loop; may be nil
	Lead      time.Duration                            // send frames this much ahead of the clock
	Ending    time.Duration                            // how long the safe frame is sent at the end; 0 is 200 ms
	Warning   time.Duration                            // how long before a go the standby is given
	Again     time.Duration                            // how soon after a go another counts
	Rests     bool                                     // the last look of an order stands until go: somebody is there to give it
	Speakers  func() *Speakers                         // what is heard beside the order plays on it; nil while there is none
	Hearing   *Hearing                                 // live sound, that light goes by where there is no soundtrack; Run closes it; nil is none
	Extras    map[string][]string                      // extra sounds that triggers play, by the triggers' names

	// Evening, if there is one, is run instead of the show: step after step, a
	// standing look until go. Open then gives each piece its clock, and how far its
	// frames lead that; Clock and Lead are not used.
	Evening *show.Evening
	Open    func(step int) (clock.Clock, time.Duration, error) // from a goroutine of the run's, which waits for it

	// Place, if there is one, is run instead: its zones side by side, each with its own
	// clocks. Starts are how they begin, by name; those that have none begin as Start.
	Place    *show.Place
	OpenZone func(zone, step int) (clock.Clock, time.Duration, error)
	Starts   map[string]evening.State
	Hours    *calendar.Calendar // of the place; nil is always open
}

// Summary is what a run came to.
type Summary struct {
	Frames  int
	Late    output.Lateness
	End     time.Duration // position at the end, of the first zone
	Outputs []output.Summary
	Report  evening.Report // what happened beside the plan, in the first zone
	Zones   []ZoneReport   // of a place of several
	Stopped bool           // before the end, by a person or by For
}

// ZoneReport is what happened in a zone beside the plan.
type ZoneReport struct {
	Name   string
	Report evening.Report
}

// run is a run under way; it belongs to the goroutine that called Run. frames share the
// memory of frame's universes, so what is encoded is what goes out; sinks copy what
// they keep.
type run struct {
	o        Options
	place    *course.Place
	wire     Wire
	frame    *show.Composed
	frames   []output.Frame
	hand     *hand.Mixer
	governed governed
	stands   standing
	missed   int // frames that were never made
	lately   int // those, and those that were late, of the last ten seconds
	recent   output.Recent
	count    int
	lit      time.Time // the instant of the last frame
	reported time.Time
	alarm    listening
	absent   string     // the sound device that the log says is not there
	playing  *show.Show // as senders know it
	events   int        // that were written
	told     int        // of them, when Report was called last
	wrong    troubles
}

// Run runs the show, the evening or the place until it ends, ctx is done, a person quits, or
// Options.For is over. It returns when every output has been told. Its end is in an
// order that matters: the clocks stand, safe frames go out, outputs say goodbye, senders
// end, and only then are the clocks' devices let go. An error of one keeps none of the
// others from its end.
func Run(ctx context.Context, s *show.Show, o Options) (Summary, error) {
	r := newRun(s, o)
	// Nothing below panics; should it all the same, the lamps get safe light first.
	defer func() { _, _ = r.close(0) }()
	defer r.governed.making.Wait()
	r.prepare()
	defer r.hearAlarm()()
	defer func() {
		if r.o.Hearing != nil {
			_ = r.o.Hearing.Close()
		}
	}()
	stopped, err := r.frameByFrame(ctx)
	now := time.Now()
	sum := Summary{Frames: r.count, Late: r.late(), End: r.first().Position(now), Stopped: stopped}
	r.place.Hold(now)
	r.prepare()
	if r.o.Ends != nil {
		r.o.Ends()
	}
	var failed error
	sum.Outputs, failed = r.close(r.o.Ending)
	err = errors.Join(err, failed)
	for _, s := range o.Senders {
		err = errors.Join(err, s.Close())
	}
	if !r.cut() {
		r.place.End(time.Now(), sum.Late.String())
	}
	sum.Report = r.first().Log().Report()
	if zones := r.place.Zones; len(zones) > 1 {
		for _, z := range zones {
			sum.Zones = append(sum.Zones, ZoneReport{z.Name, z.Log().Report()})
		}
	}
	return sum, errors.Join(err, r.place.Close())
}

func newRun(s *show.Show, o Options) *run {
	r := &run{o: o, hand: o.Mixer}
	if r.hand == nil {
		r.hand = &hand.Mixer{}
	}
	if r.o.Rate <= 0 {
		r.o.Rate = Rate
	}
	if r.o.Ending <= 0 {
		r.o.Ending = 200 * time.Millisecond
	}
	p := o.Place
	if p == nil {
		p = s.Alone(o.Evening)
		p.Zones[0].Name = o.Zone
	}
	r.place = course.NewPlace(p, o.Hours, r.zone)
	r.place.LostLook = o.LostLook
	r.frame = p.NewComposed()
	r.frames = framesOf(r.frame.Universes)
	if r.wire = o.Wire; r.wire == nil {
		r.wire = output.Own(o.Sinks, r.o.Rate)
	}
	r.standBy()
	return r
}

// zone is how a zone runs.
func (r *run) zone(zone int) course.Options {
	o := course.Options{Warning: r.o.Warning, Journal: r.journal, Again: r.o.Again, Rests: r.o.Rests, Ear: r.o.Hearing.ears()}
	switch {
	case r.o.Place != nil:
		if open := r.o.OpenZone; open != nil {
			o.Open = func(step int) (clock.Clock, time.Duration, error) { return open(zone, step) }
		}
	case r.o.Evening != nil:
		o.Open = r.o.Open
	default:
		o.Stays = true
		o.Open = func(int) (clock.Clock, time.Duration, error) { return r.o.Clock, r.o.Lead, nil }
	}
	return o
}

// journal counts what happens, for the report that is to follow at once, and passes it on.
func (r *run) journal(e evening.Event) {
	r.events++
	if e.Kind == evening.Tests {
		e.Text = r.health() + r.trials(e.Time)
	}
	if r.o.Journal != nil {
		r.o.Journal(e)
	}
}

// close sends the last light for a time and ends the wire, unless another run has it next.
func (r *run) close(over time.Duration) ([]output.Summary, error) {
	if r.o.KeepsWire {
		return nil, nil
	}
	return r.wire.Close(over)
}

// cut tells whether the wire is gone: the run then has no end, and whoever takes it up goes on.
func (r *run) cut() bool {
	w, ok := r.wire.(interface{ Gone() <-chan struct{} })
	if !ok {
		return false
	}
	select {
	case <-w.Gone():
		return true
	default:
		return false
	}
}

// late says how late frames have left, and how many were never made.
func (r *run) late() output.Lateness {
	l := r.wire.Late()
	l.Missed, l.Recent = r.missed, r.lately
	return l
}

// now is the instant for what a person or a trigger does: never before that of the light
// which was made last.
func (r *run) now() time.Time {
	if now := time.Now(); now.After(r.lit) {
		return now
	}
	return r.lit
}

// first is the zone that a run of one has.
func (r *run) first() *course.Zone { return r.place.Zones[0] }

// frameByFrame begins and sends frames until the run is over, and tells whether it was cut short. Due
// times are multiples from the start, in floating point: rounding each to a nanosecond moves
// no frame, while adding a rounded period would move all of them. A frame due at the
// same time as the run's end is not sent.
func (r *run) frameByFrame(ctx context.Context) (stopped bool, err error) {
	r.governed.renew(r.place.Show(), time.Now(), r.o.Flashes) // takes longer than a frame
	begun := time.Now()
	if err := r.place.Begin(begun, r.o.Start, r.o.Starts); err != nil {
		return true, err
	}
	r.holds()
	r.place.Light(r.frame, time.Now()) // the first costs many times what others do, and would be late
	start := time.Now().Add(r.o.Ahead)
	period := float64(time.Second) / r.o.Rate
	timer := time.NewTimer(0)
	defer timer.Stop()
	for i := 0; ; i++ {
		due := start.Add(time.Duration(float64(i) * period))
		if missed := int(float64(time.Since(due)+r.o.Ahead) / period); missed > 0 {
			// The computer slept or stalled: go on from now, count what was lost.
			r.missed += missed
			i += missed
			due = start.Add(time.Duration(float64(i) * period))
		}
		timer.Reset(time.Until(due) - r.o.Ahead)
		switch end, over, err := r.wait(ctx, timer.C); {
		case end:
			return true, nil
		case over || err != nil:
			return err != nil, err
		}
		if r.o.For > 0 && due.Sub(start) >= r.o.For {
			return true, nil
		}
		if over, err := r.send(due); over || err != nil {
			return err != nil, err
		}
	}
}

// wait sleeps until the frame is due, obeying commands and triggers meanwhile, and tells
// whether a person has ended the run, or a command has ended the order.
func (r *run) wait(ctx context.Context, due <-chan time.Time) (end, over bool, err error) {
	for !over && err == nil {
		select {
		case <-ctx.Done():
			return true, false, nil
		case c := <-r.o.Commands:
			if c.Do == Quit {
				return true, false, nil
			}
			now := r.now()
			if r.beside(now, c) {
				continue
			}
			r.place.Do(now, c.Zone, c.Do, c.At)
			over, err = r.place.Settle(now)
		case f, ok := <-r.o.Triggers:
			if !ok {
				r.o.Triggers = nil // nothing is listened to any more
				continue
			}
			now := r.now()
			r.place.Trigger(now, f.Name)
			r.triggered(now, f.Name)
		case c := <-r.o.Hand:
			r.take(c)
		case s := <-r.alarm.changes:
			r.alarmed(r.now(), s)
		case text := <-r.o.Doors:
			r.place.Note(r.now(), evening.Doors, text)
		case <-due:
			return false, false, nil
		}
	}
	return false, over, err
}

// holds takes what a hand holds from before: the first frame has it too.
func (r *run) holds() {
	for {
		select {
		case c := <-r.o.Hand:
			r.take(c)
		default:
			return
		}
	}
}

// take takes over what a hand now holds, and the looks that it has changed.
func (r *run) take(c hand.Change) {
	r.governed.live = r.now()
	now := r.now()
	if c.Place != nil {
		r.place.Swap(now, c.Place, c.Text)
	}
	r.hand.Take(now, c)
	if c.Text != "" && c.Place == nil {
		r.place.Note(now, evening.ByHand, c.Text)
	}
}

// send computes and hands out one frame, and lets time go on: what happens is written with
// the frame that first shows it. Senders are told that the show runs while the clock
// freewheels too: whatever follows them is to go on as the light does; with lights up it is
// not, as time stands then.
func (r *run) send(due time.Time) (over bool, err error) {
	now := time.Now()
	if due.After(now) { // it is made for when it will be seen
		now = due
	}
	r.lit = now
	r.o.Hearing.goOn(now)
	r.place.Light(r.frame, now)
	r.over(now)
	r.govern(now)
	r.wire.Send(r.frames, due)
	r.stand(now)
	over, err = r.place.Tick(now)
	now = r.now()
	if len(r.o.Senders) > 0 {
		r.sendOf(r.first())
		c, state := r.first().Clock().Read(now), r.first().Log().State()
		for _, s := range r.o.Senders {
			s.Update(now, c.Position, (c.Speed > 0 || c.State == clock.Freewheels) && !state.LightsUp)
		}
	}
	r.count++
	r.status(now)
	return over, err
}

// over lays what a hand holds over the frame.
func (r *run) over(now time.Time) {
	r.hand.Over(r.place.Show(), r.frame.Frame, func(unit int) float32 { return r.place.Up(unit, now) }, now)
}

// player is a sender that is told what is played.
type player interface {
	Play(s *show.Show, base int)
}

// sendOf tells senders what the zone plays, when that is another than before.
func (r *run) sendOf(z *course.Zone) {
	if z.Show() == r.playing {
		return
	}
	r.playing = z.Show()
	for _, s := range r.o.Senders {
		if p, ok := s.(player); ok {
			p.Play(r.playing, z.Evening.CuesBefore(z.Index()))
		}
	}
}

// prepare makes the safe frame: lights up, ultraviolet and flashing off.
func (r *run) prepare() {
	r.place.Safe(r.frame)
	r.wire.Prepare(r.frames)
}
