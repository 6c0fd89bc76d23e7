package trigger

import "time"

// Rules say which closings of a contact count.
//
//	raw      ___|‾|_|‾‾‾‾‾‾‾‾‾‾‾‾‾‾‾‾|_|‾|_________
//	steady   ________|‾‾‾‾‾‾‾‾‾‾‾‾‾‾‾‾‾‾‾‾‾|_____     Debounce later
//	fires    ________________*                         Dwell after that
//	deaf     ________________|‾‾‾‾‾‾‾‾‾‾‾‾‾‾|_____     for Rearm
//
// A contact is steady once it has not changed for Debounce. A steady closing that
// lasts for Dwell counts, at the instant at which it has; it fires if the last
// firing is Rearm or longer ago. So a closing that lasts while the trigger is deaf
// fires no more: it takes a new one. A press has no length: it counts at once, or
// never if there is a dwell; a debounce does not concern it.
type Rules struct{ Debounce, Rearm, Dwell time.Duration }

// Level is how a contact stands.
type Level int8

// The levels; a contact of which nothing was heard is neither.
const (
	Unknown Level = iota
	Opened
	Closed
)

func (l Level) String() string { return [...]string{"unknown", "open", "closed"}[l] }

// Change is what comes from a source.
type Change int8

// What comes. The first level after Loses, and of a new State, is found: when the
// contact began to stand so is not known, so a found closing fires nothing and is
// doubtful.
const (
	Opens Change = iota
	Closes
	Presses
	Loses // the source is gone: how the contact stands is not known
	Rests // only messages say what is held, and until one does nothing is
)

func (c Change) String() string {
	return [...]string{"opens", "closes", "is pressed", "is lost", "is open"}[c]
}

// Edge is a change and when it came.
type Edge struct {
	Time time.Time
	Change
}

// State is how a trigger stands by all that has come. The zero value is that of one
// of which nothing was heard.
type State struct {
	Raw    Level // as it came last
	Level  Level // once it was steady
	Last   time.Time
	Counts // of what has come

	since   time.Time // Raw has been so
	begun   time.Time // Level has been closed
	waits   bool      // for the dwell to be over
	lasting time.Time // since of the closing that waits
	now     time.Time // of the last edge, or of what fell due
}

// Counts say what became of closings and presses.
type Counts struct {
	Fired    uint64 `json:"fired"`
	Deaf     uint64 `json:"deaf"`     // within Rearm of the last that fired
	Short    uint64 `json:"short"`    // shorter than Dwell
	Doubtful uint64 `json:"doubtful"` // found closed, or lost before it was known whether it would count
}

// Verdict is what became of a closing or a press.
type Verdict int8

// The verdicts, one for each of Counts.
const (
	Fires Verdict = iota
	Deaf
	Short
	Doubtful
)

func (v Verdict) String() string {
	return [...]string{"fires", "is deaf, as it fired just before", "was too short", "is doubtful"}[v]
}

// Outcome is a verdict, when it fell, and when the closing began.
type Outcome struct {
	Verdict
	Time, Since time.Time
}

// Resume is the state after one more firing, as a log has it: of the count and the
// time for which the trigger is deaf. How the contact stands is to be read afresh.
func (s State) Resume(fired time.Time) State {
	s.Fired++
	if fired.After(s.Last) {
		s.Last = fired
	}
	return s
}

// Due is when the state changes by itself, if it does.
func (r Rules) Due(s State) (time.Time, bool) {
	steady := s.since.Add(r.Debounce)
	switch {
	case s.waits && (s.Raw == s.Level || !steady.Before(s.begun.Add(r.Dwell))):
		return s.begun.Add(r.Dwell), true
	case s.Raw != s.Level:
		return steady, true
	}
	return time.Time{}, false
}

// At is the state at an instant if nothing comes until then, and what fell due
// meanwhile. Asked in between, it changes nothing: an edge that is told late still
// counts from when it was.
func (r Rules) At(s State, now time.Time) (State, []Outcome) {
	var out []Outcome
	for due, ok := r.Due(s); ok && !due.After(now); due, ok = r.Due(s) {
		s.now = due
		if s.waits && due.Equal(s.begun.Add(r.Dwell)) {
			s.waits = false
			out = s.count(out, r.judge(s, due), due, s.lasting)
			continue
		}
		out = s.steady(out, due)
	}
	return s, out
}

// After is the state after an edge, and what became of closings by then. An edge from
// before the last thing that happened is taken for one of that instant.
func (r Rules) After(s State, e Edge) (State, []Outcome) {
	s, out := r.At(s, e.Time)
	now := e.Time
	if now.Before(s.now) {
		now = s.now
	}
	s.now = now
	switch e.Change {
	case Presses:
		v := Short
		if r.Dwell == 0 {
			v = r.judge(s, now)
		}
		return s, s.count(out, v, now, now)
	case Loses, Rests:
		if s.waits || s.Raw == Closed && s.Level == Opened {
			out = s.count(out, Doubtful, now, now)
		}
		s.Raw, s.Level, s.waits = Unknown, Unknown, false
		if e.Change == Rests { // which is sure at once, and needs no debounce
			s.Raw, s.Level = Opened, Opened
		}
		return s, out
	}
	raw := Opened
	if e.Change == Closes {
		raw = Closed
	}
	if raw != s.Raw {
		s.Raw, s.since = raw, now
	}
	s, more := r.At(s, now)
	return s, append(out, more...)
}

// steady takes the level that has not changed for long enough.
func (s *State) steady(out []Outcome, due time.Time) []Outcome {
	before := s.Level
	s.Level = s.Raw
	switch {
	case s.Level == Opened && s.waits:
		s.waits = false
		return s.count(out, Short, due, s.lasting)
	case s.Level == Closed && before == Unknown:
		return s.count(out, Doubtful, due, s.since)
	case s.Level == Closed:
		s.waits, s.begun, s.lasting = true, due, s.since
	}
	return out
}

// judge says what becomes of a closing that counts now.
func (r Rules) judge(s State, now time.Time) Verdict {
	if !s.Last.IsZero() && now.Before(s.Last.Add(r.Rearm)) {
		return Deaf
	}
	return Fires
}

func (s *State) count(out []Outcome, v Verdict, now, since time.Time) []Outcome {
	switch v {
	case Fires:
		s.Fired++
		s.Last = now
	case Deaf:
		s.Deaf++
	case Short:
		s.Short++
	case Doubtful:
		s.Doubtful++
	}
	return append(out, Outcome{v, now, since})
}
