package score

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"lampblack/si"
	"lampblack/source"
)

// Wait is where a piece waits for something. A piece without sound stands at a
// place of its line: fades that have begun go on, and cues from there on come when
// it is released. Sound cannot stand; there a marked span repeats, its cues with
// it, and is left at its end once it is released.
type Wait struct {
	source.Pos
	At      *time.Duration `key:"at"`   // where a piece without sound stands
	From    *time.Duration `key:"from"` // of the span of the soundtrack that repeats
	To      *time.Duration `key:"to"`
	Until   Until          `key:"until"`
	Usually si.Stretch     `key:"usually"` // how long
	Most    si.Stretch     `key:"at most"` // the same; the checks take this
	Standby string         `key:"standby"` // what is said before the go
}

// Repeats tells whether a marked span of the soundtrack repeats.
func (w *Wait) Repeats() bool { return w.From != nil }

// Place is where on the piece's line the wait ends, and cues come after it.
func (w *Wait) Place() time.Duration {
	if w.Repeats() {
		return *w.To
	}
	return *w.At
}

// Span is how long the span that repeats is; 0 for a wait without.
func (w *Wait) Span() time.Duration {
	if w.Repeats() {
		return *w.To - *w.From
	}
	return 0
}

// Whole rounds the length of a wait up to what it can last: sound leaves a span at
// its end only.
func (w *Wait) Whole(d time.Duration) time.Duration {
	if span := w.Span(); span > 0 {
		return (d + span - 1) / span * span
	}
	return d
}

// Until says what ends a wait. Go always does; the zero value, and one with
// Hand, wait for it alone.
type Until struct {
	After   time.Duration // that long after it began; 0 for never by itself
	Clock   time.Duration // at this time of day, counted from midnight; see Timed
	Timed   bool
	Trigger string // when it comes
	Hand    bool   // go was written, and is not only meant
}

// ByItself tells whether a time ends the wait, without anybody.
func (u Until) ByItself() bool { return u.After > 0 || u.Timed }

// UnmarshalText reads "go", "after 20 s", "20:30" or "trigger door".
func (u *Until) UnmarshalText(b []byte) error {
	text := strings.TrimSpace(string(b))
	*u = Until{}
	what, rest, _ := strings.Cut(text, " ")
	switch what {
	case "go":
		if u.Hand = rest == ""; u.Hand {
			return nil
		}
	case "after":
		d, err := si.ParseTime(rest)
		if err == nil && (d <= 0 || d > longestWait) {
			err = fmt.Errorf("%q is not a time up to 24 h", rest)
		}
		u.After = d
		return err
	case "trigger":
		if u.Trigger = strings.TrimSpace(rest); u.Trigger != "" {
			return nil
		}
	default:
		if t, err := si.ParseTimeOfDay(text); err == nil {
			u.Clock, u.Timed = t, true
			return nil
		}
	}
	return fmt.Errorf("%q should say what ends the wait: go, after 20 s, 20:30, trigger door", text)
}

// Units says how the value is written.
func (Until) Units() string { return "go, after 20 s, a time of day as 20:30, or trigger and its name" }

// String is the text that it is read from.
func (u Until) String() string {
	switch {
	case u.After > 0:
		return "after " + si.Say(u.After.Seconds(), "s")
	case u.Timed:
		return time.Time{}.Add(u.Clock).Format("15:04:05")
	case u.Trigger != "":
		return "trigger " + u.Trigger
	}
	return "go"
}

const (
	// longestWait is how long anything may wait: a show never stands for more
	// than a day.
	longestWait = 24 * time.Hour
	// shortestSpan is the shortest span that may repeat: shorter ones are a buzz
	// (common practice, no source), and their crossfades would meet.
	shortestSpan = 200 * time.Millisecond
	// mostPasses bounds how often the checks hear a span.
	mostPasses = 2000
	mostWaits  = 100
)

// CheckLength finds what is wrong with how long something waits, and mends it. what
// is its name, as "the wait at 0:30".
func CheckLength(pos source.Pos, what string, until Until, usually, most *si.Stretch, faults *source.Faults) {
	if until.After > 0 && *most == 0 {
		*most = si.Stretch(until.After)
	}
	switch {
	case *most <= 0 || time.Duration(*most) > longestWait:
		faults.Add(pos, "as usually: 15 min, at most: 40 min; the checks of dose and darkness take the latter", "%s does not say how long it lasts at most, 24 h or less", what)
		*most = si.Stretch(time.Minute)
	case *usually > *most:
		faults.Add(pos, "", "%s usually lasts longer than at most", what)
		*usually = *most
	}
	if until.After > time.Duration(*most) {
		faults.Add(pos, "", "%s ends by itself later than it may last at most", what)
	}
}

// checkWaits finds what is wrong with the waits, and drops those that cannot be
// used.
func (s *Score) checkWaits(faults *source.Faults) {
	if len(s.Waits) > mostWaits {
		faults.Add(s.Pos, "", "%d waits are more than the %d of one piece", len(s.Waits), mostWaits)
		s.Waits = s.Waits[:mostWaits]
	}
	var kept []Wait
	for i := range s.Waits {
		w := &s.Waits[i]
		if w.Pos.Line != 0 && w.check(faults) {
			kept = append(kept, *w)
		}
	}
	slices.SortStableFunc(kept, func(a, b Wait) int { return int(min(max(a.Place()-b.Place(), -1), 1)) })
	s.Waits = kept[:0]
	for i := range kept {
		w := &kept[i]
		if n := len(s.Waits); n > 0 && w.begins() < s.Waits[n-1].Place() || n > 0 && w.Place() == s.Waits[n-1].Place() {
			faults.Add(w.Pos, "", "the wait at %s meets that of line %d", si.FormatTime(w.begins()), s.Waits[n-1].Pos.Line)
			continue
		}
		s.Waits = append(s.Waits, *w)
	}
}

// begins is where on the line the wait begins.
func (w *Wait) begins() time.Duration {
	if w.Repeats() {
		return *w.From
	}
	return *w.At
}

// check tells whether the wait can be used.
func (w *Wait) check(faults *source.Faults) bool {
	const hint = "at: 0:30 where there is no sound; from: 1:02.350, to: 1:10.350 for a span of the sound that repeats"
	switch {
	case w.At != nil && (w.From != nil || w.To != nil):
		faults.Add(w.Pos, hint, "the wait both stands and repeats")
		return false
	case w.At == nil && (w.From == nil || w.To == nil):
		faults.Add(w.Pos, hint, "the wait does not say where it is")
		return false
	case w.begins() < 0 || w.Place() > longestWait:
		faults.Add(w.Pos, "", "the wait is outside 0 to 24 h")
		return false
	case w.Repeats() && w.Span() < shortestSpan:
		faults.Add(w.Pos, "", "the span from %s to %s is too short to repeat: %s at least", si.FormatTime(*w.From), si.FormatTime(*w.To), shortestSpan)
		return false
	}
	what := "the wait at " + si.FormatTime(w.begins())
	CheckLength(w.Pos, what, w.Until, &w.Usually, &w.Most, faults)
	if w.Repeats() && w.Whole(time.Duration(w.Most))/w.Span() > mostPasses {
		faults.Add(w.Pos, "mark a longer span", "%s repeats more than %d times at most", what, mostPasses)
		w.Most, w.Usually = si.Stretch(w.Span()), 0
	}
	return true
}
