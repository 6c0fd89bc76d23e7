package main

import (
	"bytes"
	"strings"
	"testing"
	"time"

	"lampblack/calendar"
	"lampblack/evening"
	"lampblack/play"
	"lampblack/play/alarm"
	"lampblack/play/course"
	"lampblack/play/hand"
	"lampblack/web"
)

// An alarm stands before all else on the line and on the page, with since when, by what, and
// what to do: why it cannot be reset, what was asked for, or how it is reset. What is told in
// lines of its own is told once.
func TestAlarmIsTold(t *testing.T) {
	since := time.Date(2026, 3, 14, 20, 14, 5, 0, time.Local)
	night := func(s alarm.State, notice string, is calendar.Kind) play.Status {
		return play.Status{Status: course.Status{Notice: notice}, Alarm: s, Hours: calendar.State{Is: is}}
	}
	door := alarm.Status{Name: "stage door", Back: "put the contact back first"}
	says, gone, tried := door, door, door
	says.Says = true
	gone.Fault, gone.Hint = "no such device", "plug it in"
	tried.Tried = time.Now()
	state := func(stands bool, in alarm.Status) alarm.State {
		s := alarm.State{Stands: stands, Inputs: []alarm.Status{in}}
		if stands {
			s.Since, s.By = since, "stage door"
		}
		return s
	}
	var words bytes.Buffer
	l := newStatusLine(&words)
	for i, c := range []struct {
		status     play.Status
		line, said string
	}{
		{night(state(false, door), "", calendar.Open), "", ""},
		{night(state(true, says), "", calendar.Open), "ALARM: lights up, sound off, since 20:14:05 (stage door)  the alarm stays: stage door still says alarm; put the contact back first  |  ",
			"warning: ALARM: lights up, sound off, since 20:14:05 (stage door)|hint: the alarm stays"},
		{night(state(true, says), "an alarm stands", calendar.Open), "ALARM: lights up, sound off, since 20:14:05 (stage door)  an alarm stands  |  ", ""},
		{night(state(true, door), "", calendar.Open), "ALARM: lights up, sound off, since 20:14:05 (stage door)  see that everybody is safe first; ", ""},
		{night(state(false, tried), "", calendar.Open), "", "note: the alarm is reset, "},
		{night(state(false, gone), "", calendar.Open), "ALARM INPUT GONE  ", "warning: alarm input stage door cannot be heard: no such device|hint: plug it in; until then"},
		{night(state(false, tried), "", calendar.Testing), "", "note: alarm input stage door is heard again"},
		{night(state(false, door), "", calendar.Testing), "TRY THE ALARM (stage door)  ", ""},
	} {
		words.Reset()
		l.tellAlarm(&c.status.Alarm)
		said := strings.ReplaceAll(strings.ReplaceAll(words.String(), "lampblack: ", ""), "\n", "|")
		if line := alarmLine(&c.status); !strings.HasPrefix(line, c.line) || (c.line == "") != (line == "") || !strings.HasPrefix(said, c.said) || (c.said == "") != (said == "") {
			t.Errorf("%d: the line begins with %q, want %q; it says %q, want %q", i, line, c.line, said, c.said)
		}
	}
	up := night(state(true, says), "", calendar.Open)
	if a := alarmOf(&up); !a.Stands || !strings.HasPrefix(a.Text, "ALARM: ") || !strings.HasPrefix(a.Hint, "the alarm stays") || a.Notice != "" {
		t.Errorf("the page has %+v", a)
	}
	over := night(state(false, tried), "Lights down first, then go goes on at 0:12", calendar.Open)
	if a := alarmOf(&over); a != (web.Alarm{}) {
		t.Errorf("while the lights are not up the page has %+v", a)
	}
	if over.State.LightsUp = true; alarmOf(&over).Notice != over.Notice {
		t.Errorf("after the reset the page has %+v", alarmOf(&over))
	}
}

// A run that takes up one in which an alarm stood, in whichever zone, has it standing.
func TestAlarmIsTakenUp(t *testing.T) {
	since := time.Unix(1000, 0)
	stood := evening.State{Alarm: "stage door", Alarmed: since}
	for _, o := range []play.Options{{Start: stood}, {Starts: map[string]evening.State{"hall": {}, "cave": stood}}} {
		if s := alarmStood(&o); !s.Stands || s.By != "stage door" || !s.Since.Equal(since) {
			t.Errorf("%+v", s)
		}
	}
	if s := alarmStood(&play.Options{}); s.Stands {
		t.Errorf("%+v", s)
	}
}

// While an alarm stands a hand may take back what it holds, and nothing else.
func TestAlarmHoldsTheHand(t *testing.T) {
	w, err := alarm.Listen(t.Context(), nil, alarm.Options{Stands: alarm.State{Stands: true, By: "stage door"}})
	if err != nil {
		t.Fatal(err)
	}
	defer w.Close()
	b := &book{contacts: contacts{alarm: w}}
	for do, may := range map[string]bool{hand.Set: false, hand.Bring: false, hand.Darkness: false, hand.OnePulse: false, hand.TrimTo: false, hand.TakeOut: false, hand.LetGo: true, hand.Unfocused: true, hand.Back: true, hand.Drop: true} {
		if err := b.alarmed(hand.Order{Do: do}); (err == nil) != may {
			t.Errorf("%s in an alarm: %v", do, err)
		}
	}
	if _, err := w.Reset(); err != nil || b.alarmed(hand.Order{Do: hand.Set}) != nil {
		t.Errorf("after the reset: %v", err)
	}
	if err := (&book{}).alarmed(hand.Order{Do: hand.Set}); err != nil {
		t.Errorf("in a show without an alarm: %v", err)
	}
}
