package main

import (
	"fmt"
	"io"
	"math"
	"strings"
	"sync"
	"time"

	"lampblack/calendar"
	"lampblack/evening"
	"lampblack/play"
	"lampblack/play/alarm"
	"lampblack/play/clock"
	"lampblack/play/course"
	"lampblack/score"
	"lampblack/si"
	"lampblack/source"
)

// statusLine shows where a run is on one line of a terminal, and says in lines
// of their own, on a terminal or not, when the clock is lost and found.
type statusLine struct {
	words  io.Writer
	w      io.Writer // the terminal, nil if there is none
	drawn  time.Time
	told   clock.State // what was said of the clock last
	offers bool        // and that it is back
	miss   string      // the sound device that was said to be absent
	alarm  alarm.State // as it was told
	wrong  wrongs

	mu sync.Mutex // of what is written: triggers and clocks speak from goroutines of their own
}

func newStatusLine(words io.Writer) *statusLine {
	l := &statusLine{words: words, told: clock.Runs}
	if terminal(words) {
		l.w = raw(words)
	}
	return l
}

func (l *statusLine) show(s play.Status) {
	l.tellAlarm(&s.Alarm)
	l.tell(s)
	l.tellDevice(s.Beside)
	l.tellWrong(s.Wrong)
	if l.w == nil {
		return
	}
	l.mu.Lock()
	defer l.mu.Unlock()
	l.drawn = time.Now()
	text := []rune(source.Visible(statusText(s)))
	if most := width(l.w) - 1; len(text) > most {
		text = text[:most]
	}
	fmt.Fprintf(l.w, "\r%s\x1b[K", string(text))
}

// statusText is the line. What is wrong comes first, for the end may be cut off.
func statusText(s play.Status) string {
	text := wholeText(s)
	if s.Beside.Absent != "" {
		text = "SOUND ON ANOTHER DEVICE  " + text
	}
	text = wrongText(s.Wrong) + text
	if len(s.Beside.Extras) > 0 {
		text += "  + " + source.Visible(strings.Join(s.Beside.Extras, ", "))
	}
	if s.Beside.Tests {
		text += "  TEST SIGNAL"
	}
	text += liveText(&s)
	return alarmLine(&s) + text
}

// wholeText says where all zones are.
func wholeText(s play.Status) string {
	if s.Shut {
		return hoursText(s.Hours)
	}
	if len(s.Zones) > 0 {
		var zones []string
		for i := range s.Zones {
			z := &s.Zones[i]
			zones = append(zones, wrong(z.Clock)+z.Zone+": "+zoneText(z))
		}
		return strings.Join(zones, "  |  ")
	}
	text := wrong(s.Clock) + si.FormatTime(s.State.In) + "  " + cueText(&s.Status)
	if s.Notice != "" {
		text += "  (" + s.Notice + ")"
	}
	return text
}

// hoursText says how a place stands outside its hours, and until when.
func hoursText(h calendar.State) string {
	text := map[calendar.Kind]string{calendar.Closed: "CLOSED", calendar.StartingUp: "STARTING UP", calendar.ClosingDown: "CLOSING DOWN", calendar.Testing: "SELF-TEST"}[h.Is]
	if h.Look != "" {
		text += " (" + source.Visible(h.Look) + ")"
	}
	if !h.Until.IsZero() {
		text += " until " + h.Until.Format("Mon 15:04")
	}
	if h.Why != "" {
		text += ": " + source.Visible(h.Why)
	}
	return text
}

// wrong is what is wrong with a clock, in capitals.
func wrong(c clock.Reading) string {
	if c.State == clock.Held && c.Fault.Text != "" {
		return "WAITING  "
	}
	if c.Offers {
		return "TIMECODE BACK, go follows it  "
	}
	return map[clock.State]string{clock.Lost: "CLOCK LOST  ", clock.Freewheels: "CLOCK SILENT  "}[c.State]
}

// cueText says what stands, what comes next, and what a hand has done.
func cueText(s *course.Status) string {
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
	return now + ", then " + next + handText(s)
}

// handText says what a hand has done to the light and to the time.
func handText(s *course.Status) string {
	text := timeText(s)
	if s.State.Frozen {
		frozen := "  LIGHT FROZEN"
		if s.Violet {
			frozen += ", ULTRAVIOLET ON"
		}
		text = frozen + text
	}
	switch by := s.State.Lowered; {
	case by >= evening.Off:
		text += "  SOUND OFF"
	case by > 0:
		text += fmt.Sprintf("  sound lowered by %.0f dB", by)
	}
	return text
}

// timeText says what a hand has done to the time.
func timeText(s *course.Status) string {
	switch {
	case s.State.LightsUp:
		return "  LIGHTS UP"
	case s.State.Held:
		return "  HELD"
	case s.Clock.Speed > 0 && math.Abs(s.Clock.Speed-1) >= .005:
		return fmt.Sprintf("  at %.0f %% of its speed", 100*s.Clock.Speed)
	}
	return ""
}

// zoneText is short, for zones share a line.
func zoneText(s *course.Status) string {
	if s.Over {
		return "over" + handText(s)
	}
	text := s.Step.Name() + " " + clockwork(s.State.In.Seconds())
	switch u := s.Waiting.Until; {
	case !s.Waits:
	case u.Trigger != "":
		text += ", waits for " + source.Visible(u.Trigger)
	case u.ByItself():
		text += ", goes on " + onText(u)
	default:
		text += ", waits for go"
	}
	return text + handText(s)
}

// onText is what ends a wait, before what it ends in.
func onText(u score.Until) string {
	switch {
	case u.After > 0:
		return u.String()
	case u.Timed:
		return "at " + u.String()
	}
	return "on " + u.String()
}

// ofStep says the same in an evening, whose steps have names: a standing look waits for
// go, and has no cues to name.
func ofStep(s *course.Status, now, next string) (string, string) {
	end := "the end"
	if s.After != nil {
		end = s.After.Name()
	}
	now = s.Step.Name() + ": " + now
	over, standby := "", ""
	if w := s.Waiting; s.Waits && w.For > w.Most {
		over = fmt.Sprintf(", %s LONGER THAN AT MOST", si.FormatTime((w.For - w.Most).Truncate(time.Second)))
	}
	if s.Standby != "" {
		standby = " (standby: " + source.Visible(s.Standby) + ")"
	}
	switch {
	case s.Opening:
		return s.Step.Name() + ": opening its soundtrack", end
	case s.Step.Stands():
		return s.Step.Name() + " (" + s.Step.Look.Name + ")" + over, onText(s.Waiting.Until) + " " + end + standby
	case s.Waits:
		return now + ", waits for " + s.Waiting.Until.String() + " " + clockwork(s.Waiting.For.Seconds()) + " of " + clockwork(s.Waiting.Most.Seconds()) + over, "on" + standby
	case s.Coming && (s.Next == nil || s.Ahead <= s.Next.Start-s.State.In):
		return now, fmt.Sprintf("it waits, in %.1f s", s.Ahead.Seconds()) + standby
	case s.Next == nil:
		return now, end + standby
	}
	return now, next + standby
}

// tell says once that the clock is lost, that it waits, and that it is there.
func (l *statusLine) tell(s play.Status) {
	c := s.Clock
	switch {
	case c.Offers && !l.offers:
		l.say("note", c.Fault.Text)
		l.say("hint", c.Fault.Hint)
	case c.State == clock.Lost && l.told != clock.Lost:
		l.say("warning", "clock lost at "+si.FormatTime(c.Position)+": "+c.Fault.Text)
		l.say("hint", c.Fault.Hint)
	case c.State == clock.Held && c.Fault.Text != "" && l.told == clock.Runs:
		l.say("note", c.Fault.Text)
		l.say("hint", c.Fault.Hint)
	case c.State == clock.Runs && l.told != clock.Runs:
		l.say("note", "the show goes by "+s.ClockName+", at "+si.FormatTime(c.Position))
	case c.State == clock.Freewheels && !c.Offers || c.State == clock.Held && c.Fault.Text == "":
		return // the line shows the first, and the second is no news
	}
	l.told, l.offers = c.State, c.Offers
}

// tellDevice says once that the sound has moved to another device during the run, or back;
// what it begins with is told as it is opened.
func (l *statusLine) tellDevice(b play.Beside) {
	if !b.Device || b.Absent == l.miss {
		return
	}
	if l.miss = b.Absent; b.Absent == "" {
		l.say("note", "the sound is on the device that show.yaml names")
		return
	}
	text, hint := absentText(b.Absent)
	l.say("warning", text)
	l.say("hint", hint)
}

// say prints above the line, which is drawn anew after it.
func (l *statusLine) say(what, text string) {
	l.mu.Lock()
	defer l.mu.Unlock()
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
