package course

import (
	"time"

	"lampblack/evening"
	"lampblack/play/clock"
	"lampblack/si"
)

// Action is what a person wants of a zone.
type Action string

// What a person may want.
const (
	Hold     Action = "hold"      // stop the clock, keep the light
	Go       Action = "go"        // release what waits; go on when held
	Skip     Action = "skip"      // to the next cue, sound and all; past what waits. Of sound that runs it is asked for twice
	Back     Action = "back"      // to the start of this cue, or of the one before
	LightsUp Action = "lights up" // bring everyone light
	Seek     Action = "seek"      // to a time. Of sound that runs it is asked for twice
	Tap      Action = "tap"       // a beat of the player, for a clock that takes them
	Rest     Action = "rest"      // to the first step

	LightsDown Action = "lights down" // the show's light again; time still stands

	SkipNow  Action = "skip for certain" // the same as skip, asked for once: by who was asked elsewhere
	Freeze   Action = "freeze light"     // the light stands, time and sound go on
	Unfreeze Action = "light on again"   // the light goes back to where the show is
	StopAll  Action = "stop all"         // a hold whose sound fades out over a time; go goes on
)

// sure is how long after a skip or a seek of sound that runs the second counts.
const sure = 3 * time.Second

// again is how long after a cue's start Back means the cue before it: whoever asks
// twice within two seconds means two cues. Common practice of players, no source.
const again = 2 * time.Second

// Do carries out what a person wants. While the clock of a step is opened there is nothing
// to take elsewhere, but lights come up and go down, and freeze. at is meant by Seek, a place
// on the line where waits last their longest, and by StopAll, over which the sound fades; 0
// is [Fade].
func (z *Zone) Do(now time.Time, do Action, at time.Duration) {
	state := z.log.State()
	if do == LightsUp || do == LightsDown {
		z.lights(now, do == LightsUp)
		return
	}
	if do == Freeze || do == Unfreeze {
		z.freeze(now, do == Freeze)
		return
	}
	if do == Go && state.LightsUp {
		z.say(now, upFirst)
		return
	}
	if z.opens != nil || z.over {
		if z.opens != nil {
			z.say(now, "the soundtrack is being opened: a moment")
		}
		return
	}
	if z.follows() && takes(do) {
		z.say(now, z.clock.Name()+" says where the show is, and no order takes it elsewhere: hold keeps the light as it is")
		return
	}
	position := z.clock.Read(now).Position
	switch do {
	case Tap:
		if beat, ok := z.clock.(interface{ Tap(time.Time) }); ok {
			beat.Tap(now) // a clock that takes none is not asked
		}
	case Hold:
		if state.Held {
			z.say(now, "time stands already; "+z.willGo(position))
			return
		}
		z.clock.Hold(now)
		z.happened(now, evening.Hold, "")
	case Go:
		if now.Sub(z.went) < z.o.Again {
			z.say(now, "two presses of go came as one; "+z.willGo(position))
			return
		}
		z.went = now
		z.advance(now, position)
	case Skip:
		z.skip(now, position, false)
	case SkipNow:
		z.skip(now, position, true)
	case StopAll:
		z.stop(now, at)
	case Back:
		if z.index > 0 && position < again {
			z.last = backward
			return
		}
		z.jump(now, evening.Back, z.before(position))
	case Seek:
		if to := min(max(at, 0), z.entered.Length); z.meant(now, Seek, to, "the sound would jump to "+si.FormatTime(to)) {
			z.move(now, evening.Skip, position, z.place(to))
		}
	case Rest:
		z.last = rest
	}
}

// takes tells whether an action takes the show elsewhere.
func takes(do Action) bool { return do == Skip || do == SkipNow || do == Back || do == Seek }

// follows tells whether another machine says where the show is.
func (z *Zone) follows() bool {
	c, ok := z.clock.(interface{ Follows() bool })
	return ok && c.Follows()
}

// upFirst is what go is told while lights are up: it would take people's light away.
const upFirst = "the lights are up: lights down first, then go"

// lights brings lights up, or gives the show's light back; time stands either way. Both may be
// asked for again: up is up.
func (z *Zone) lights(now time.Time, up bool) {
	position := z.clock.Read(now).Position
	switch state := z.log.State(); {
	case up && state.LightsUp:
		z.say(now, "the lights are up already; lights down gives the show's light back")
	case up:
		z.clock.Hold(now)
		z.happened(now, evening.LightsUp, "")
	case state.LightsUp:
		z.happened(now, evening.LightsDown, "")
		z.say(now, "the show's light is back, and time stands; "+z.willGo(position))
	default:
		z.say(now, "the lights are not up")
	}
}

// willGo says what go would do now.
func (z *Zone) willGo(position time.Duration) string {
	if z.log.State().LightsUp {
		return "lights down first, then go"
	}
	return z.goes(position)
}

// goes says what go would do if the lights were down.
func (z *Zone) goes(position time.Duration) string {
	_, waits := z.waiting(position)
	switch {
	case z.opens != nil:
		return "the next step begins when its soundtrack is open"
	case z.over:
		return "the order is over"
	case z.Step().Stands() && z.index+1 < len(z.Evening.Steps):
		return "go begins " + z.Evening.Steps[z.index+1].Name()
	case z.Step().Stands() && z.Repeats:
		return "go goes back to " + z.Evening.Steps[0].Name()
	case z.Step().Stands():
		return "go ends the order"
	case z.rests(position):
		return goEnds
	case z.log.State().Held:
		return "go goes on at " + si.FormatTime(position)
	case waits:
		return "go releases what waits"
	}
	return "nothing waits for go"
}

// orderOver is what is said when the last look of an order stands.
const orderOver = "the order is over, and its last look stands"

// goEnds is what go does when the last look of an order stands.
const goEnds = "go brings the lights up and ends the run"

// ending tells whether no step comes after this one.
func (z *Zone) ending() bool { return !z.Repeats && z.index == len(z.Evening.Steps)-1 }

// rests tells whether the order is over, and its last look stands until go.
func (z *Zone) rests(position time.Duration) bool {
	return z.o.Rests && z.ending() && !z.Step().Stands() && !z.open() && position >= z.show.Length
}

// goOn ends a hold.
func (z *Zone) goOn(now time.Time, position time.Duration) {
	z.run(now, position)
	z.happened(now, evening.Go, "")
}

// advance goes on: go releases what waits, and moves no sound that runs. In a piece without
// sound and without waits, all there is, where nothing else could be meant, it goes to the
// next cue.
func (z *Zone) advance(now time.Time, position time.Duration) {
	_, waits := z.waiting(position)
	switch state := z.log.State(); {
	case z.Step().Stands() || z.rests(position): // held or not: what stands has nothing to go on with but the next step
		z.happened(now, evening.Released, "go")
		z.last = onward
	case state.Held:
		z.goOn(now, position)
	case z.begins(now):
		z.happened(now, evening.Go, "")
	case waits:
		z.release(now, position)
	case z.follows():
		z.say(now, "nothing waits for go: "+z.clock.Name()+" says where the show is. Hold keeps the light; go then goes on with it")
	case z.o.Stays && len(z.entered.Waits) == 0 && !z.sounds():
		if next := z.show.CueAt(position) + 1; next < len(z.show.Cues) {
			z.jump(now, evening.Go, z.show.Cues[next].Start)
		}
	default:
		z.say(now, "nothing waits for go here: "+z.called()+" runs; skip goes to the next cue")
	}
}

// called is what the step is called; a show of one piece has no name for it.
func (z *Zone) called() string {
	if name := z.Step().Name(); name != "" {
		return name
	}
	return "the show"
}

// sounds tells whether a jump of the step would be one of its sound, heard or not: who runs it
// without a sound device plays the sound by other means. A live player is taken nowhere.
func (z *Zone) sounds() bool {
	_, live := z.clock.(interface{ Tap(time.Time) })
	return z.Step().Sound().Name != "" && !live
}

// skip goes to the next cue, or to what waits if that comes before it; from what waits, on.
// A hold stays one. Sound that runs is moved when it was asked for twice, or for certain.
func (z *Zone) skip(now time.Time, position time.Duration, certain bool) {
	state, kind := z.log.State(), evening.Go
	if state.Held {
		kind = evening.Skip
	}
	if _, waits := z.waiting(position); waits {
		if state.LightsUp {
			z.say(now, upFirst)
			return
		}
		if state.Held && !z.Step().Stands() {
			z.goOn(now, position)
		}
		z.advance(now, position)
		return
	}
	to, w := z.show.Length, z.wait()
	if next := z.show.CueAt(position) + 1; next < len(z.show.Cues) {
		to = z.show.Cues[next].Start
	}
	if w != nil {
		to = min(to, w.Begins-w.Span())
	}
	if certain || to <= position || z.meant(now, Skip, to, "skip jumps the sound to "+si.FormatTime(to)) {
		z.jump(now, kind, to)
	}
}

// meant tells whether a jump is to be made: at once where no sound runs, else when it is asked
// for a second time before long. The first time it says so.
func (z *Zone) meant(now time.Time, do Action, to time.Duration, text string) bool {
	if z.log.State().Held || !z.sounds() || do == z.asked.do && to == z.asked.to && now.Before(z.asked.until) {
		z.asked, z.notice = asked{}, notice{}
		return true
	}
	z.asked = asked{do, to, now.Add(sure)}
	z.notice = notice{text + ": again to do it", z.asked.until}
	return false
}

// begins lets a clock that waits for its time begin now, and tells whether it did.
func (z *Zone) begins(now time.Time) bool {
	c, ok := z.clock.(interface{ Begin(time.Time) bool })
	return ok && c.Begin(now)
}

// before is where Back goes.
func (z *Zone) before(position time.Duration) time.Duration {
	i := z.show.CueAt(position)
	if i >= 0 && position-z.show.Cues[i].Start < again {
		i--
	}
	if i < 0 {
		return 0
	}
	return z.show.Cues[i].Start
}

// jump takes the zone elsewhere on its line. Waits that lie behind are waits again.
func (z *Zone) jump(now time.Time, kind evening.Kind, to time.Duration) {
	from := z.clock.Read(now).Position
	to = max(to, 0)
	if !z.open() {
		to = min(to, z.show.Length)
	}
	if to < from { // ahead, a span that is heard for the last time stays released
		z.keep(to)
	}
	z.move(now, kind, from, to)
}

// move takes the clock elsewhere. It is told to run and then held again where a hold
// stands: the light of the new place is seen, and time waits for go.
func (z *Zone) move(now time.Time, kind evening.Kind, from, to time.Duration) {
	z.stretch(to)
	z.run(now, to)
	if z.log.State().Held {
		z.clock.Hold(now)
	}
	z.log.Append(z.event(now, kind, from))
}

// Trigger says that a trigger came, and tells whether the zone waited for it. While the
// rest look re-arms it waits for none, and lights that are up are a person's matter.
func (z *Zone) Trigger(now time.Time, name string) bool {
	if z.opens != nil || z.over || z.log == nil {
		return false
	}
	state := z.log.State()
	position := z.clock.Read(now).Position
	w, ok := z.waiting(position)
	if !ok || w.Until.Trigger != name || state.Held || state.LightsUp {
		return false
	}
	if z.Repeats && z.index == 0 && now.Sub(z.begun) < time.Duration(z.Rearm) {
		return false
	}
	z.happened(now, evening.Trigger, name)
	if z.Step().Stands() {
		z.last = onward
	} else {
		z.release(now, position)
	}
	return true
}

// say has a word for the person at the keys.
func (z *Zone) say(now time.Time, text string) { z.notice = notice{text, now.Add(noticed)} }

// happened writes what has just happened to the log.
func (z *Zone) happened(now time.Time, kind evening.Kind, text string) {
	e := z.event(now, kind, 0)
	e.From, e.Text = e.At, text
	z.log.Append(e)
}

// event is what has just happened, with where the clock is now: one that follows another
// machine goes where that is, not where it is told.
func (z *Zone) event(now time.Time, kind evening.Kind, from time.Duration) evening.Event {
	c := z.clock.Read(now)
	return evening.Event{Time: now, Kind: kind, At: c.Position, From: from, Speed: c.Speed, Waited: evening.Wait(z.gaps)}
}

// watch writes what the clock has brought to the log. It is called with the frame that
// first shows it, and not where the clock noticed: the log says what the light did.
func (z *Zone) watch(now time.Time, c clock.Reading) {
	z.cover(c.Position)
	i := z.show.CueAt(c.Position)
	if i != z.cue {
		if z.cue = i; i >= 0 {
			z.happened(now, evening.Cue, z.show.Cues[i].Number.Name)
		}
	}
	state := z.log.State()
	switch lost := c.State == clock.Lost; {
	case lost && !state.Lost:
		z.happened(now, evening.ClockLost, c.Fault.Text)
	case !lost && state.Lost:
		z.happened(now, evening.ClockFound, c.Fault.Text)
	case c.State != clock.Freewheels && (c.Speed > 0) != (state.Speed > 0): // a beat that is late is no news
		z.happened(now, evening.Clock, c.Fault.Text)
	}
}
