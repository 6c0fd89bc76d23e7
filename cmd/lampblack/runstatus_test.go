package main

import (
	"bytes"
	"strings"
	"testing"
	"time"

	"lampblack/evening"
	"lampblack/play"
	"lampblack/play/clock"
	"lampblack/play/course"
	"lampblack/play/output"
	"lampblack/show"
	"lampblack/source"
)

// What is wrong with the clock comes first on the line, and is said once in
// lines of its own, with what to do.
func TestLostClockOnTheTerminal(t *testing.T) {
	gone := clock.Fault{Text: "no timecode for 2 s; the light stands", Hint: "see to its cable"}
	late := clock.Fault{Text: "no timecode for 0.2 s; the show goes on", Hint: "see to its cable"}
	waits := clock.Fault{Text: "waits for timecode", Hint: "start it"}
	status := func(state clock.State, speed float64, f clock.Fault) play.Status {
		return play.Status{Status: course.Status{State: evening.State{In: 12300 * time.Millisecond}, ClockName: "timecode", Clock: clock.Reading{Position: 12300 * time.Millisecond, State: state, Speed: speed, Fault: f}}}
	}
	var words bytes.Buffer
	l := newStatusLine(&words)
	for _, c := range []struct {
		status play.Status
		line   string // begins so
		said   []string
		ends   string
	}{
		{status: status(clock.Held, 0, waits), line: "WAITING  0:12.300", said: []string{"note: waits for timecode", "hint: start it"}},
		{status: status(clock.Held, 0, waits), line: "WAITING  0:12.300"},
		{status: status(clock.Runs, 1, clock.Fault{}), line: "0:12.300  before", said: []string{"note: the show goes by timecode, at 0:12.300"}},
		{status: status(clock.Freewheels, 1, late), line: "CLOCK SILENT  0:12.300"},
		{status: status(clock.Lost, 0, gone), line: "CLOCK LOST  0:12.300", said: []string{"warning: clock lost at 0:12.300: no timecode for 2 s; the light stands", "hint: see to its cable"}},
		{status: status(clock.Lost, 0, gone), line: "CLOCK LOST  0:12.300"},
		{status: status(clock.Runs, 1.031, clock.Fault{}), line: "0:12.300  before", said: []string{"note: the show goes by timecode"}, ends: "at 103 % of its speed"},
		{status: status(clock.Held, 0, clock.Fault{}), line: "0:12.300  before"},
		{status: status(clock.Runs, 1, clock.Fault{}), line: "0:12.300  before", ends: "the end"},
	} {
		words.Reset()
		l.show(c.status)
		said := strings.Split(strings.TrimSuffix(words.String(), "\n"), "\n")
		if words.Len() == 0 {
			said = nil
		}
		if len(said) != len(c.said) {
			t.Errorf("%v: said %q, want %q", c.status.Clock, said, c.said)
			continue
		}
		for i := range said {
			if !strings.HasPrefix(said[i], "lampblack: "+c.said[i]) {
				t.Errorf("%v: said %q, want %q", c.status.Clock, said[i], c.said[i])
			}
		}
		if text := statusText(c.status); !strings.HasPrefix(text, c.line) || !strings.HasSuffix(text, c.ends) {
			t.Errorf("%v: the line is %q", c.status.Clock, text)
		}
	}
}

// In an evening the line names the steps: what stands, how long it has stood too
// long, and what go brings, with the words that come before it.
func TestStatusOfAnEvening(t *testing.T) {
	standing := &show.Step{OrderStep: &show.OrderStep{Standing: source.Ref{Name: "interval"}, Look: source.Ref{Name: "house"}}, Show: &show.Show{Length: 25 * time.Minute}}
	piece := &show.Step{OrderStep: &show.OrderStep{Piece: source.Ref{Name: "encore"}, Standby: "encore, and go"}, Show: &show.Show{}}
	for want, s := range map[string]course.Status{
		"20:00.000  interval (house), then on go encore (standby: encore, and go)":      {Step: standing, After: piece, State: evening.State{In: 20 * time.Minute}, Standby: "encore, and go"},
		"26:03.500  interval (house), 1:03.000 LONGER THAN AT MOST, then on go the end": {Step: standing, State: evening.State{In: 26*time.Minute + 3500*time.Millisecond}, Waits: true, Waiting: course.Waiting{For: 26*time.Minute + 3500*time.Millisecond, Most: 25 * time.Minute}},
		"0:01.000  encore: before the first cue, then interval":                         {Step: piece, After: standing, State: evening.State{In: time.Second}},
		"0:01.000  encore: before the first cue, then the end":                          {Step: piece, State: evening.State{In: time.Second}},
	} {
		if got := statusText(play.Status{Status: s}); got != want {
			t.Errorf("%q, want %q", got, want)
		}
	}
}

// What a hand has done to light and sound is said at the end of the line, and a device that is
// not the one that was asked for at its beginning; the latter is told once, with what to do.
func TestStatusOfTheSound(t *testing.T) {
	in := func(change func(*play.Status)) play.Status {
		s := play.Status{Status: course.Status{State: evening.State{In: 12300 * time.Millisecond}, Clock: clock.Reading{Position: 12300 * time.Millisecond, State: clock.Runs, Speed: 1}}, Beside: play.Beside{Device: true}}
		change(&s)
		return s
	}
	for want, s := range map[string]play.Status{
		"0:12.300  before the first cue, then the end  LIGHT FROZEN":                           in(func(s *play.Status) { s.State.Frozen = true }),
		"0:12.300  before the first cue, then the end  LIGHT FROZEN, ULTRAVIOLET ON":           in(func(s *play.Status) { s.State.Frozen, s.Violet = true, true }),
		"0:12.300  before the first cue, then the end  LIGHT FROZEN  HELD":                     in(func(s *play.Status) { s.State.Frozen, s.State.Held = true, true }),
		"0:12.300  before the first cue, then the end  SOUND OFF":                              in(func(s *play.Status) { s.State.Lowered = evening.Off }),
		"0:12.300  before the first cue, then the end  sound lowered by 6 dB  + bell, thunder": in(func(s *play.Status) { s.State.Lowered, s.Beside.Extras = 6, []string{"bell", "thunder"} }),
		"SOUND ON ANOTHER DEVICE  0:12.300  before the first cue, then the end  TEST SIGNAL":   in(func(s *play.Status) { s.Beside.Absent, s.Beside.Tests = "balcony", true }),
	} {
		if got := statusText(s); got != want {
			t.Errorf("%q, want %q", got, want)
		}
	}
	var words bytes.Buffer
	l := newStatusLine(&words)
	for range 3 {
		l.show(in(func(s *play.Status) { s.Beside.Absent = "balcony" }))
	}
	l.show(in(func(*play.Status) {}))
	if n := strings.Count(words.String(), "is not there"); n != 1 || !strings.Contains(words.String(), "hint: plug it in") || !strings.Contains(words.String(), "on the device that show.yaml names") {
		t.Errorf("it says %q", words.String())
	}
}

// What is wrong with an output is said once with what to do, stands in capitals before the
// line while it lasts, and its end is said; what is only worth a word is said once.
func TestWrongOutputsOnTheTerminal(t *testing.T) {
	lost := play.Trouble{Of: "E1.31 to multicast", Fault: output.Fault{Cause: output.NoLink, Degree: output.Wholly, Since: time.Now(), Text: "no network on eth0", Hint: "put the cable in"}}
	rival := play.Trouble{Of: "E1.31 to multicast", Fault: output.Fault{Cause: output.Rival, Degree: output.Partly, Since: time.Now(), Text: "another sends universe 1", Hint: "end it"}}
	late := play.Trouble{Of: play.Computer, Fault: output.Fault{Cause: output.Slow, Degree: output.Partly, Since: time.Now(), Text: "frames are late", Hint: "close other programs"}}
	follows := play.Trouble{Of: "E1.31 to multicast", Fault: output.Fault{Cause: output.Silent, Degree: output.Wholly, Since: time.Now(), Text: "nobody answers", Hint: "power it"}}
	aside := play.Trouble{Of: "E1.31 to multicast", Fault: output.Fault{Cause: output.Unknowable, Text: "cannot be known", Hint: "look at the lamps"}}
	var words bytes.Buffer
	l := newStatusLine(&words)
	for i, c := range []struct {
		wrong []play.Trouble
		line  string
		said  string
	}{
		{[]play.Trouble{aside}, "0:00", "note: E1.31 to multicast: cannot be known|hint: look at the lamps"},
		{[]play.Trouble{lost, aside}, "NO NETWORK  0:00", "warning: E1.31 to multicast: no network on eth0|hint: put the cable in"},
		{[]play.Trouble{lost, rival, late, aside}, "NO NETWORK, ANOTHER SENDER, COMPUTER LATE  0:00", "warning: E1.31 to multicast: another sends universe 1|hint: end it|warning: this computer: frames are late|hint: close other programs"},
		{[]play.Trouble{lost, follows, rival, late, aside}, "NO NETWORK, ANOTHER SENDER, COMPUTER LATE  0:00", ""},
		{[]play.Trouble{rival, aside}, "ANOTHER SENDER  0:00", "note: E1.31 to multicast is back after 1 s: no network on eth0|note: over after 1 s: this computer: frames are late"},
		{[]play.Trouble{rival}, "ANOTHER SENDER  0:00", ""},
		{nil, "0:00", "note: over after 1 s: E1.31 to multicast: another sends universe 1"},
	} {
		words.Reset()
		s := play.Status{Status: course.Status{Clock: clock.Reading{State: clock.Runs, Speed: 1}}, Wrong: c.wrong}
		l.show(s)
		if said := strings.ReplaceAll(strings.ReplaceAll(strings.TrimSuffix(words.String(), "\n"), "lampblack: ", ""), "\n", "|"); said != c.said {
			t.Errorf("%d: said %q, want %q", i, said, c.said)
		}
		if text := statusText(s); !strings.HasPrefix(text, c.line) {
			t.Errorf("%d: the line is %q, want %q", i, text, c.line)
		}
	}
}
