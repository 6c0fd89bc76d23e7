package main

import (
	"errors"
	"strings"

	"lampblack/play"
	"lampblack/play/course"
	"lampblack/play/hand"
	"lampblack/show"
	"lampblack/si"
	"lampblack/web"
)

// listens lets the page's buttons press triggers.
func (b *book) listens(c contacts) { b.contacts = c }

// pageTriggers are the triggers that have a button on the page.
func pageTriggers(t *show.Triggers) []string {
	out := []string{}
	if t == nil {
		return out
	}
	for _, e := range t.Triggers {
		if from, ok := e.Value.From(); ok && from.Kind == "page" {
			out = append(out, e.Name)
		}
	}
	return out
}

// stageOf says where an evening is, or its zones are, in the words of the status line. piece is
// that which the book shows.
func stageOf(s play.Status, piece string) web.Stage {
	st := web.Stage{Away: len(s.Zones) > 0 || s.Step == nil || s.Step.Name() != piece && (piece != "" || !s.Step.Own()), Count: -1, Zones: []web.ZoneLine{}, Notice: s.Notice, Standby: s.Standby}
	if s.Shut {
		st.Now = hoursText(s.Hours)
		return st
	}
	if len(s.Zones) > 0 {
		st.Now = "a place of " + si.Count(len(s.Zones), "zone", "zones")
		for i := range s.Zones {
			z := &s.Zones[i]
			st.Zones = append(st.Zones, web.ZoneLine{Zone: z.Zone, Text: strings.TrimSpace(wrong(z.Clock) + zoneText(z))})
		}
		return st
	}
	st.Now, st.NowWhy = stepWords(&s.Status)
	st.Next, st.NextWhy, st.Count = nextWords(&s.Status)
	return st
}

// stepWords says what stands.
func stepWords(s *course.Status) (now, why string) {
	switch {
	case s.Step == nil || s.Opening:
		return "its soundtrack is being opened", ""
	case s.Step.Stands():
		return s.Step.Name(), s.Step.Look.Name + lasts(s)
	case s.Cue == nil:
		return s.Step.Name(), "before its first cue"
	}
	why = s.Cue.Cue.Look.Name
	if s.Waits {
		why += lasts(s)
	}
	return s.Step.Name() + ", " + s.Cue.Number.Name, why
}

// lasts says how long something has waited.
func lasts(s *course.Status) string {
	text := ", for " + clockwork(s.Waiting.For.Seconds()) + " of at most " + clockwork(s.Waiting.Most.Seconds())
	if s.Waiting.For > s.Waiting.Most {
		text += ": longer than at most"
	}
	return text
}

// nextWords says what comes next, what brings it, and in how many seconds; a negative number
// is that nobody knows.
func nextWords(s *course.Status) (next, why string, count float64) {
	after := "the end"
	if s.After != nil {
		after = s.After.Name()
	}
	switch {
	case s.Waits && !s.Step.Stands():
		return "on from here", onText(s.Waiting.Until), -1
	case s.Waits:
		return after, onText(s.Waiting.Until), -1
	case s.Coming && (s.Next == nil || s.Ahead <= s.Next.Start-s.State.In):
		return "a wait", "", max(s.Ahead.Seconds(), 0)
	case s.Next != nil:
		return "cue " + s.Next.Number.Name, s.Next.Cue.Look.Name, max((s.Next.Start - s.State.In).Seconds(), 0)
	}
	return after, "at its end", -1
}

// alarmOf says how the alarm stands, for the pages.
func alarmOf(s *play.Status) web.Alarm {
	a := web.Alarm{Stands: s.Alarm.Stands, Text: alarmText(&s.Alarm)}
	if a.Stands {
		a.Hint = alarmHint(&s.Alarm)
	}
	if a.Stands || s.State.LightsUp { // what was asked for last, and after a reset what go will do
		a.Notice = s.Notice
	}
	return a
}

// errAlarm is that no order of a hand moves the light now.
var errAlarm = errors.New("an alarm stands, and nothing moves the light until it is reset, on the Night page")

// alarmed refuses what a hand would do to the lamps while an alarm stands; what takes back is
// taken.
func (b *book) alarmed(o hand.Order) error {
	switch o.Do {
	case hand.LetGo, hand.Back, hand.Unfocused, hand.Drop:
		return nil
	}
	if a := b.contacts.alarm; a != nil && a.State().Stands {
		return errAlarm
	}
	return nil
}
