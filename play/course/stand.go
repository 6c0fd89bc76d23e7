package course

import (
	"time"

	"lampblack/evening"
	"lampblack/play/clock"
	"lampblack/si"
)

// freeze lets the light stand while time and sound go on, or gives it back to the show. Both
// may be asked for again: what stands stands as it is.
func (z *Zone) freeze(now time.Time, on bool) {
	state := z.log.State().On(now)
	switch {
	case on == state.Frozen:
		if !on {
			z.say(now, "the light is the show's already")
		}
	case !on:
		z.happened(now, evening.Unfroze, "")
	default:
		e := z.event(now, evening.Froze, 0)
		e.From, e.Stands = e.At, z.visible(now)
		if e.Stands == "" {
			z.say(now, "the rig is too large for its light to be frozen: hold keeps it, sound and all")
			return
		}
		z.log.Append(e)
	}
}

// visible is the light that is seen, but for lights that are up.
func (z *Zone) visible(now time.Time) evening.Stands {
	if z.frame == nil {
		z.frame = z.show.NewFrame()
	}
	s, state := z.lit(now)
	return s.Frozen(z.frame, state, z.o.Ear)
}

// Fade is how long the sound takes to fade when all stops, where nobody says (common
// practice, no source).
const Fade = 3 * time.Second

// stop holds the step: its light stands at once, and its sound fades out. What faded is
// heard again on go, for the line has not moved meanwhile, and light and sound go on as one.
func (z *Zone) stop(now time.Time, over time.Duration) {
	if z.log.State().Held {
		z.say(now, "all stands already: go goes on")
		return
	}
	if over <= 0 {
		over = z.show.Bill.Sound.Stop
	}
	if over <= 0 {
		over = Fade
	}
	if c, ok := z.clock.(clock.Heard); ok {
		c.HoldOver(now, min(over, time.Minute))
	} else {
		z.clock.Hold(now)
	}
	z.happened(now, evening.StopAll, "over "+si.Say(over.Seconds(), "s"))
}
