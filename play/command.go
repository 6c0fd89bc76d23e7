package play

import (
	"time"

	"lampblack/evening"
)

// Command is what a person wants of a run. The zero At is meant only by Seek.
type Command struct {
	Do Action
	At time.Duration
}

// Action names a command.
type Action string

// What a person may want of a run.
const (
	Hold     Action = "hold"      // stop the clock, keep the light
	Go       Action = "go"        // go on when held; else to the next cue
	Back     Action = "back"      // to the start of this cue, or of the one before
	LightsUp Action = "lights up" // bring everyone light, or give it back
	Seek     Action = "seek"      // to a time
	Tap      Action = "tap"       // a beat of the player, for a clock that takes them
	Quit     Action = "quit"
)

// again is how long after a cue's start Back means the cue before it: whoever asks
// twice within two seconds means two cues. Common practice of players, no source.
const again = 2 * time.Second

// obey carries a command out and tells whether the step is over. It runs in the loop,
// between two frames, so nothing else touches the run meanwhile. A beat to a clock that
// takes none is passed over.
func (r *run) obey(c Command) (quit bool) {
	now := time.Now()
	position := r.clock.Read(now).Position
	state := r.log.State()
	switch c.Do {
	case Quit:
		r.then = leave
	case Tap:
		if beat, ok := r.clock.(interface{ Tap(time.Time) }); ok {
			beat.Tap(now)
		}
	case Hold:
		if state.Held {
			r.goOn(now, position)
		} else {
			r.hold(now)
		}
	case Go:
		r.advance(now, position)
	case Back:
		if r.index > 0 && position < again {
			r.then = backward
			break
		}
		r.jump(now, evening.Back, r.before(position))
	case Seek:
		r.jump(now, evening.Skip, c.At)
	case LightsUp:
		if state.LightsUp {
			r.happened(now, evening.LightsDown, "")
			break
		}
		r.clock.Hold(now)
		r.happened(now, evening.LightsUp, "")
	}
	return r.then != stay
}

// hold stops the clock and says so.
func (r *run) hold(now time.Time) {
	r.clock.Hold(now)
	r.happened(now, evening.Hold, "")
}

// goOn ends a hold.
func (r *run) goOn(now time.Time, position time.Duration) {
	r.clock.Run(now, position)
	r.happened(now, evening.Go, "")
}

// advance goes on, or to the next cue. Lights that are up go down first: a
// second go is then needed to move.
func (r *run) advance(now time.Time, position time.Duration) {
	switch state := r.log.State(); {
	case state.LightsUp:
		r.happened(now, evening.LightsDown, "")
	case r.stands(): // held or not: what stands has nothing to go on with but the next step
		r.then = onward
	case state.Held:
		r.goOn(now, position)
	case r.begins(now):
		r.happened(now, evening.Go, "")
	default:
		if next := r.show.CueAt(position) + 1; next < len(r.show.Cues) {
			r.jump(now, evening.Go, r.show.Cues[next].Start)
		}
	}
}

// begins lets a clock that waits for its time begin now, and tells whether it
// did.
func (r *run) begins(now time.Time) bool {
	c, ok := r.clock.(interface{ Begin(time.Time) bool })
	return ok && c.Begin(now)
}

// before is where Back goes.
func (r *run) before(position time.Duration) time.Duration {
	i := r.show.CueAt(position)
	if i >= 0 && position-r.show.Cues[i].Start < again {
		i--
	}
	if i < 0 {
		return 0
	}
	return r.show.Cues[i].Start
}

// jump takes the show elsewhere. The clock is told to run and then held again where a
// hold stands: the light of the new place is seen, and time waits for go.
func (r *run) jump(now time.Time, kind evening.Kind, to time.Duration) {
	from := r.clock.Read(now).Position
	r.clock.Run(now, min(max(to, 0), r.show.Length))
	if r.log.State().Held {
		r.clock.Hold(now)
	}
	r.log.Append(r.event(now, kind, from))
}

// happened writes what has just happened to the log.
func (r *run) happened(now time.Time, kind evening.Kind, text string) {
	e := r.event(now, kind, 0)
	e.From, e.Text = e.At, text
	r.log.Append(e)
}

// event is what has just happened, with where the clock is now: one that follows
// another machine goes where that is, not where it is told.
func (r *run) event(now time.Time, kind evening.Kind, from time.Duration) evening.Event {
	c := r.clock.Read(now)
	return evening.Event{Time: now, Kind: kind, At: c.Position, From: from, Speed: c.Speed}
}
