package play

import "time"

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
	Tap      Action = "tap"       // a beat of the player, for a BeatClock
	Quit     Action = "quit"
)

// again is how long after a cue's start Back means the cue before it.
const again = 2 * time.Second

// obey carries a command out and tells whether the run is over.
func (r *run) obey(c Command) (quit bool) {
	if c.Do == Tap {
		if beat, ok := r.clock.(*BeatClock); ok {
			beat.Tap()
		}
		return false
	}
	position := r.clock.Position()
	r.note(string(c.Do), "")
	switch c.Do {
	case Quit:
		return true
	case Hold:
		r.hold(!r.held, position)
	case Go:
		r.advance(position)
	case Back:
		r.back(position)
	case Seek:
		r.jump(c.At)
	case LightsUp:
		r.lightsUp = !r.lightsUp
		r.upSince = time.Now()
		if r.lightsUp {
			r.hold(true, position)
		}
	}
	return false
}

func (r *run) hold(held bool, position time.Duration) {
	r.held = held
	if held {
		r.clock.Hold()
	} else {
		r.clock.Run(position)
	}
}

// advance goes on, or to the next cue. Lights that are up go down first: a
// second go is then needed to move.
func (r *run) advance(position time.Duration) {
	switch {
	case r.lightsUp:
		r.lightsUp = false
	case r.held:
		r.hold(false, position)
	default:
		if next := r.show.CueAt(position) + 1; next < len(r.show.Cues) {
			r.jump(r.show.Cues[next].Start)
		}
	}
}

func (r *run) back(position time.Duration) {
	i := r.show.CueAt(position)
	if i >= 0 && position-r.show.Cues[i].Start < again {
		i--
	}
	if i < 0 {
		r.jump(0)
		return
	}
	r.jump(r.show.Cues[i].Start)
}

func (r *run) jump(to time.Duration) {
	to = min(max(to, 0), r.show.Length)
	r.clock.Run(to)
	if r.held {
		r.clock.Hold()
	}
}
