package evening

import (
	"slices"
	"strings"
	"testing"
	"time"
)

// An alarm stands, with the lights up at once and time held, until it is reset: nothing else
// that happens takes it away, not even another step. After it the lights are up still.
func TestAlarmStandsUntilReset(t *testing.T) {
	at := time.Unix(1000, 0)
	next := func(kind Kind, text string) Event {
		at = at.Add(time.Second)
		return Event{Time: at, Kind: kind, Text: text, At: 5 * time.Second}
	}
	for _, kind := range kinds {
		s := reduce(State{}, next(Began, ""), next(AlarmSet, "stage door"), next(AlarmSet, "foyer"))
		since := s.Alarmed
		switch kind {
		case Ended, AlarmReset, Go: // go is refused by whoever runs the show
			continue
		}
		if s = s.After(next(kind, "1")); s.Alarm != "stage door" || !s.LightsUp || !s.Held || s.Up < time.Second || !s.Alarmed.Equal(since) {
			t.Errorf("after %q the alarm is %+v", kind, s)
		}
		if s = s.After(next(AlarmReset, "key r; stage door")); s.Alarm != "" || !s.Alarmed.IsZero() || !s.LightsUp || !s.Held {
			t.Errorf("after %q and the reset: %+v", kind, s)
		}
	}
}

// The report counts an alarm once however many inputs say it, how long it stood, and what was
// seen to work.
func TestAlarmReport(t *testing.T) {
	at := time.Unix(1000, 0)
	l := NewLog("hall", State{}, nil)
	for _, e := range []Event{{Kind: Began}, {Kind: AlarmSet, Text: "stage door"}, {Kind: AlarmSet, Text: "foyer"}, {Kind: AlarmTried, Text: "stage door"},
		{Kind: AlarmTried, Text: "foyer"}, {Kind: AlarmReset}, {Kind: LightsDown}, {Kind: AlarmSet, Text: "foyer"}, {Kind: AlarmTried, Text: "foyer"}, {Kind: AlarmReset}} {
		e.Time = at
		at = at.Add(10 * time.Second)
		l.Append(e)
	}
	r := l.Report()
	if r.Alarms != 2 || r.Alarmed != 60*time.Second || !slices.Equal(r.Tried, []string{"stage door", "foyer"}) {
		t.Errorf("%+v", r)
	}
	text := strings.Join(r.Lines(), "\n")
	for _, want := range []string{"ALARM twice, 60 s in all; last: foyer", "tried, and came and was reset: stage door, foyer"} {
		if !strings.Contains(text, want) {
			t.Errorf("%q misses %q", text, want)
		}
	}
}
