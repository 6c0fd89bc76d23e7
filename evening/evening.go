// Package evening says what happens to a show as it runs, and how it stands by
// it: write each [Event] to a [Log], or fold events that were written over a
// [State] with After.
//
//	events   run ─ cue 1 ─ cue 2 ─ hold ───── go ─ cue 3 ─ clock lost ── clock found ─ …
//	state     └─────── a straight line from event to event ────────────────────▶ time
//	            In(t) = In + speed · (t − instant)
//
// The log is only appended to. A state is a pure function of the events before
// it, so that what reads the log knows what the run knows: the report prints it,
// another machine follows it, and a run that was cut off goes on from it. Every
// event says where the show was and how fast its clock went; between two of them
// the state is a line, for the clock has not told more.
//
// A state belongs to one zone: a place with an order and a clock of its own.
package evening

import "time"

// State is how a show stands at an instant. It is a value; the zero value is
// before the beginning.
type State struct {
	Instant time.Time // at which it stands so

	// What the light is a function of.
	Step   int           // of the running order, from 1: 0 before and after
	Pass   int           // how often that step has begun, this time included
	In     time.Duration // seconds in the step, on the show's line
	Living time.Duration // since the step began; it never stops, whatever is held
	Enters Stands        // the light with which the step began, where it is not that which the order says
	Waited Waited        // the waits of the step that are over, and how long they lasted

	// What a hand has done.
	Held     bool
	LightsUp bool
	Up       time.Duration // how long the lights have been up
	Frozen   bool          // the light stands as Stands has it, whatever the show does
	Stands   Stands        // that light; once it is let go the show's comes back over [Thaw]
	Thawed   time.Duration // for how long it has been coming back
	Lowered  float64       // dB by which the sound of the step is below its own; [Off] is off

	// An alarm that stands, until it is reset by hand. Nothing moves the light meanwhile.
	Alarm   string    // which input said so first, and why; "" while none stands
	Alarmed time.Time // when

	// The clock.
	Speed float64 // of In, in seconds a second
	Lost  bool    // what the show goes by is gone

	Cue string // the last that began, "" before the first

	Version string // of the show that runs, "" when it has none
}

// On is the state at a later instant when nothing happens until then.
func (s State) On(now time.Time) State {
	d := now.Sub(s.Instant)
	if s.Step == 0 || d <= 0 {
		return s
	}
	s.Instant = now
	s.In += time.Duration(s.Speed * float64(d))
	s.Living += d
	if s.LightsUp {
		s.Up += d
	}
	if s.Stands != "" && !s.Frozen {
		if s.Thawed += d; s.Thawed >= Thaw {
			s.Stands, s.Thawed = "", 0
		}
	}
	return s
}

// Thaw is how long the light takes from where it was frozen back to where the show is: it
// is seen to go, and does not leap. Common practice, no source.
const Thaw = 2 * time.Second

// Whole is longer than lights take to come up: an alarm brings them up at once.
const Whole = time.Minute

// alarm is which input said alarm; a damaged line has none, and stands all the same.
func (e *Event) alarm() string {
	if e.Text == "" {
		return "an input"
	}
	return e.Text
}

// Standing is how much of the light is that which was frozen, 0 to 1.
func (s *State) Standing() float64 {
	switch {
	case s.Frozen:
		return 1
	case s.Stands == "":
		return 0
	}
	return 1 - s.Thawed.Seconds()/Thaw.Seconds()
}

// step is the step of the running order that an event begins: the first for logs
// of shows that have no other.
func (e *Event) step() int { return max(e.Step, 1) }

// Beside tells whether an event may be written beside a run: it tells nothing of where the show
// is.
func (e *Event) Beside() bool { return e.Kind == Doors || e.Kind == AlarmTried || e.Kind == LampSet }

// After is the state when an event has happened. A kind that it does not know
// tells where the show is, and changes nothing else.
func (s State) After(e Event) State {
	if e.Beside() {
		return s
	}
	s = s.On(e.Time)
	s.Instant = e.Time
	switch e.Kind {
	case Began:
		pass := 1
		if s.Step == 0 || s.Step == e.step() {
			pass = s.Pass + 1
		}
		next := State{Instant: e.Time, Step: e.step(), Pass: pass, Version: e.Version, Enters: e.Enters}
		if s.Step != 0 { // the order goes on under a light that stands
			next.Frozen, next.Stands, next.Thawed = s.Frozen, s.Stands, s.Thawed
		}
		if s.Alarm != "" { // and under an alarm, which ends by hand alone
			next.Held, next.LightsUp, next.Up, next.Alarm, next.Alarmed = true, true, s.Up, s.Alarm, s.Alarmed
		}
		s = next
	case Resumed:
		s.Step, s.Lost, s.Version, s.Enters = e.step(), false, e.Version, e.Enters // its clock is another, and it may be changed
	case Changed:
		s.Version = e.Version
	case Ended:
		s.Step, s.Frozen, s.Stands, s.Thawed = 0, false, "", 0
	case Cue:
		s.Cue = e.Text
	case Hold, StopAll:
		s.Held = true
	case Go:
		s.Held = false
	case LightsUp:
		if s.Held, s.LightsUp = true, true; s.Alarm == "" {
			s.Up = 0
		}
	case LightsDown:
		if s.Alarm == "" {
			s.LightsUp, s.Up = false, 0
		}
	case AlarmSet:
		if s.Alarm == "" {
			s.Alarm, s.Alarmed = e.alarm(), e.Time
		}
		s.Held, s.LightsUp, s.Up = true, true, max(s.Up, Whole)
	case AlarmReset: // the lights stay up until a hand takes them down
		s.Alarm, s.Alarmed = "", time.Time{}
	case Froze:
		s.Frozen, s.Stands, s.Thawed = e.Stands != "", e.Stands, 0
	case Unfroze:
		s.Frozen, s.Thawed = false, 0
	case Sound:
		s.Lowered = e.Lowered
	case ClockLost:
		s.Lost = true
	case ClockFound:
		s.Lost = false
	}
	s.In, s.Speed, s.Waited = e.At, e.Speed, e.Waited
	return s
}
