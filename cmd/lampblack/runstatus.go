package main

import (
	"fmt"
	"io"
	"math"
	"strings"
	"time"

	"lampblack/play"
	"lampblack/play/clock"
	"lampblack/si"
	"lampblack/source"
)

// statusLine shows where a run is on one line of a terminal, and says in lines
// of their own, on a terminal or not, when the clock is lost and found.
type statusLine struct {
	words io.Writer
	w     io.Writer // the terminal, nil if there is none
	drawn time.Time
	told  clock.State // what was said of the clock last
}

func newStatusLine(words io.Writer) *statusLine {
	l := &statusLine{words: words, told: clock.Runs}
	if terminal(words) {
		l.w = raw(words)
	}
	return l
}

func (l *statusLine) show(s play.Status) {
	l.tell(s)
	if l.w == nil {
		return
	}
	l.drawn = time.Now()
	text := []rune(source.Visible(statusText(s)))
	if most := width(l.w) - 1; len(text) > most {
		text = text[:most]
	}
	fmt.Fprintf(l.w, "\r%s\x1b[K", string(text))
}

// statusText is the line. What is wrong comes first, for the end may be cut off.
func statusText(s play.Status) string {
	now, next := "before the first cue", "the end"
	if s.Cue != nil {
		now = "cue " + s.Cue.Number.Name + " " + s.Cue.Cue.Look.Name
	}
	if s.Next != nil {
		next = fmt.Sprintf("cue %s in %.1f s", s.Next.Number.Name, (s.Next.Start - s.State.In).Seconds())
	}
	if s.Step != nil {
		now, next = ofStep(s, now, next)
	}
	state := ""
	switch {
	case s.State.LightsUp:
		state = "  LIGHTS UP"
	case s.State.Held:
		state = "  HELD"
	case s.Clock.Speed > 0 && math.Abs(s.Clock.Speed-1) >= .005:
		state = fmt.Sprintf("  at %.0f %% of its speed", 100*s.Clock.Speed)
	}
	wrong := map[clock.State]string{clock.Lost: "CLOCK LOST  ", clock.Freewheels: "CLOCK SILENT  "}[s.Clock.State]
	if s.Clock.State == clock.Held && s.Clock.Fault.Text != "" {
		wrong = "WAITING  "
	}
	return fmt.Sprintf("%s%s  %s, then %s%s", wrong, si.FormatTime(s.State.In), now, next, state)
}

// ofStep says the same in an evening, whose steps have names: a standing look waits for
// go, and has no cues to name.
func ofStep(s play.Status, now, next string) (string, string) {
	end := "the end"
	if s.After != nil {
		end = s.After.Name()
	}
	if s.Step.Stands() {
		over := ""
		if most := s.Step.Show.Length; s.State.In > most {
			over = fmt.Sprintf(", %s LONGER THAN AT MOST", si.FormatTime((s.State.In - most).Truncate(time.Second)))
		}
		if s.After != nil && s.After.Standby != "" {
			end += " (standby: " + source.Visible(s.After.Standby) + ")"
		}
		return s.Step.Name() + " (" + s.Step.Look.Name + ")" + over, "on go " + end
	}
	if s.Next == nil {
		next = end
	}
	return s.Step.Name() + ": " + now, next
}

// tell says once that the clock is lost, that it waits, and that it is there.
func (l *statusLine) tell(s play.Status) {
	c := s.Clock
	switch {
	case c.State == clock.Lost && l.told != clock.Lost:
		l.say("warning", "clock lost at "+si.FormatTime(c.Position)+": "+c.Fault.Text)
		l.say("hint", c.Fault.Hint)
	case c.State == clock.Held && c.Fault.Text != "" && l.told == clock.Runs:
		l.say("note", c.Fault.Text)
		l.say("hint", c.Fault.Hint)
	case c.State == clock.Runs && l.told != clock.Runs:
		l.say("note", "the show goes by "+s.ClockName+", at "+si.FormatTime(c.Position))
	case c.State == clock.Freewheels || c.State == clock.Held && c.Fault.Text == "":
		return // the line shows the first, and the second is no news
	}
	l.told = c.State
}

// say prints above the line, which is drawn anew after it.
func (l *statusLine) say(what, text string) {
	var b strings.Builder
	say(&b, what, source.Visible(text))
	if l.w == nil {
		fmt.Fprint(l.words, b.String())
		return
	}
	// The terminal is raw while keys are read: lines do not begin by themselves.
	fmt.Fprint(l.w, "\r\x1b[K"+strings.ReplaceAll(b.String(), "\n", "\r\n"))
}

func (l *statusLine) end() {
	if l.w != nil && !l.drawn.IsZero() {
		fmt.Fprint(l.w, "\r\x1b[K")
	}
}
