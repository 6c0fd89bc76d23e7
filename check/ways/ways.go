// Package ways looks for steps of a place that nobody leaves, or that are never reached:
// call [Find] with a place, its hours and its triggers.
//
// It follows every zone through its order with the shortest and the longest that each step
// lasts, and asks of everything that is waited for whether it can come: a time of day while
// the place is open, a trigger that fires at all, a person where there may be none.
//
//	rest ─ trigger ─▶ glow ─ after 40 s ─▶ dawn ─▶ rest
//	 └ can it come?            └ longest stay 30 s: dawn is never reached
//
// It is arithmetic on the files; common practice, no source. It does not see whether people
// find the beam, or a contact that is broken.
package ways

import (
	"time"

	"lampblack/calendar"
	"lampblack/check/finding"
	"lampblack/score"
	"lampblack/show"
	"lampblack/si"
	"lampblack/source"
)

// Tells has the sentence of every identifier.
var Tells = finding.Tells{
	"no-way-out":     "a step that nobody and nothing leaves",
	"needs-a-person": "a step of a place that only a person takes on",
	"never-reached":  "a step that is never reached",
	"doubled-start":  "a trigger that takes a zone on twice",
}

// practice is the source of all of them.
const practice = "common practice, no source: whoever stands in a zone must see it go on"

// Find looks for them. hours and triggers may be nil.
func Find(p *show.Place, hours *calendar.Calendar, triggers *show.Triggers) []finding.Finding {
	var out []finding.Finding
	for i := range p.Zones {
		w := walk{zone: &p.Zones[i], hours: hours, triggers: triggers}
		w.follow()
		out = append(out, w.found...)
	}
	return out
}

// walk follows one zone.
type walk struct {
	zone     *show.PlacedZone
	hours    *calendar.Calendar
	triggers *show.Triggers
	found    []finding.Finding
}

// follow goes from step to step. shortest is how long the zone has been away from its rest
// at least.
func (w *walk) follow() {
	shortest := time.Duration(0)
	stay := time.Duration(w.zone.Stay)
	entry := ""
	for i := range w.zone.Evening.Steps {
		s := &w.zone.Evening.Steps[i]
		rests := w.zone.Repeats && i == 0
		if stay > 0 && w.zone.Repeats && shortest >= stay {
			w.tell("never-reached", finding.Warn, s.Pos, s.Name(), "make the longest stay longer, or the steps before it shorter",
				"zone %s goes back to its rest look after %s at the latest, and the steps before %s take %s at least", w.zone.Name, si.Say(stay.Seconds(), "s"), s.Name(), si.Say(shortest.Seconds(), "s"))
			return
		}
		if rests {
			entry = s.Until.Trigger
		}
		if s.Stands() {
			w.ends(s.Until, s.Pos, s.Name(), rests)
			shortest += s.Until.After
			w.doubled(s.Until, s.Pos, s.Name(), entry, rests)
			if rests {
				shortest = 0
			}
			continue
		}
		shortest += w.pieceAtLeast(s)
		for k := range s.Show.Score.Waits {
			wait := &s.Show.Score.Waits[k]
			w.ends(wait.Until, wait.Pos, s.Name(), false)
			w.doubled(wait.Until, wait.Pos, s.Name(), entry, false)
		}
	}
	if last := &w.zone.Evening.Steps[len(w.zone.Evening.Steps)-1]; !w.zone.Repeats && w.hours != nil {
		w.tell("no-way-out", finding.Warn, last.Pos, last.Name(), "say repeats: yes",
			"after %s zone %s is over, and stands so until the place opens again", last.Name(), w.zone.Name)
	}
}

// pieceAtLeast is how long a piece takes when nothing is waited for.
func (w *walk) pieceAtLeast(s *show.Step) time.Duration {
	d := s.Show.Length
	for i := range s.Show.Waits {
		d -= s.Show.Waits[i].Gap
		d += s.Show.Waits[i].Until.After
	}
	return d
}

// ends asks whether what is waited for can come.
func (w *walk) ends(u score.Until, pos source.Pos, step string, rests bool) {
	switch {
	case u.After > 0:
	case u.Timed:
		if w.hours != nil && !w.openAt(u.Clock) {
			w.tell("no-way-out", finding.Warn, pos, step, "give a time inside the opening hours",
				"%s of zone %s waits for %s, when the place is never open", step, w.zone.Name, u)
		}
	case u.Trigger == "":
		if w.zone.Repeats {
			w.tell("needs-a-person", finding.Note, pos, step, "wait for a trigger or a time, if nobody is there",
				"%s of zone %s waits for go: only a person at the controls takes it on", step, w.zone.Name)
		}
	default:
		w.comes(u.Trigger, pos, step, rests)
	}
}

// comes asks whether a trigger can fire.
func (w *walk) comes(name string, pos source.Pos, step string, rests bool) {
	if w.triggers == nil {
		return // the files' own fault
	}
	t := w.triggers.Triggers.Get(name)
	if t == nil {
		return
	}
	// Nobody stands in a beam for longer than this without being asked to.
	const patient = 10 * time.Second
	if t.Dwell > patient {
		severity, then := finding.Note, "it goes on by itself only after its longest time"
		if rests {
			severity, then = finding.Warn, "it may never begin"
		}
		w.tell("no-way-out", severity, pos, step, "make the dwell shorter",
			"%s of zone %s waits for the trigger %s, which must last for %s before it counts: %s", step, w.zone.Name, name, si.Say(t.Dwell.Seconds(), "s"), then)
	}
}

// doubled asks whether the trigger that began the zone also ends what comes later: the second
// of two people then takes it on at once.
func (w *walk) doubled(u score.Until, pos source.Pos, step, entry string, rests bool) {
	if rests || entry == "" || u.Trigger != entry || w.triggers == nil {
		return
	}
	t := w.triggers.Triggers.Get(entry)
	const group = 10 * time.Second // in which a group of four passes a beam
	if t != nil && t.Rearm < group {
		w.tell("doubled-start", finding.Warn, pos, step, "give the trigger a re-arm time of 10 s or more, or wait for another one",
			"%s of zone %s waits for the trigger %s, which also begins the zone: the second of two people takes it on at once", step, w.zone.Name, entry)
	}
}

// openAt tells whether the place is open at a time of day on any day of a year. Days are
// sampled over one that has all weekdays and seasons.
func (w *walk) openAt(clock time.Duration) bool {
	start := w.hours.Midnight(time.Date(2026, 1, 1, 12, 0, 0, 0, time.UTC), 0)
	for day := range 366 {
		at := w.hours.Midnight(start.Add(time.Hour), day).Add(clock)
		if w.hours.At(at).Is == calendar.Open {
			return true
		}
	}
	return false
}

// tell adds a finding.
func (w *walk) tell(id string, severity finding.Severity, pos source.Pos, step, hint, format string, args ...any) {
	f := finding.Finding{ID: id, Severity: severity, Place: "zone " + w.zone.Name + ", " + step, Source: practice}
	f.Says = finding.Say(format, args...)
	f.Cure = finding.Say("%s", hint)
	w.found = append(w.found, f.At(pos))
}
