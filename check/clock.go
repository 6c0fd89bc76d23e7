package check

import (
	"time"

	"lampblack/check/finding"
	"lampblack/show"
	"lampblack/si"
)

var clockTells = finding.Tells{"time-past": "a time of day that is past before its step begins"}

// clocks finds standing looks of an evening that are to last until a time of day which is past as they begin: a
// time that an earlier step waited for, and what lies between at its shortest, go beyond it.
func clocks(e *show.Evening, all *finding.Report) {
	const day = 24 * time.Hour
	var now time.Duration // of the day, at the earliest
	from := ""            // the step whose time of day counts
	for i := range e.Steps {
		s := &e.Steps[i]
		switch u := s.Until; {
		case !s.Stands():
			now += shortest(s.Show)
		case u.Timed:
			late := (now - u.Clock + 3*day/2) % day
			if late -= day / 2; from != "" && late > 0 {
				all.Add(finding.Finding{ID: "time-past", Severity: finding.Warn, Place: s.Name(), Value: late.Minutes(), Unit: "min", Source: "common practice, no source",
					Says: finding.Say("%s is to last until %s, and with %s before it does not begin before %s: it is over at once, or lasts until the next day", s.Name(), u, from, si.FormatTime(now%day)),
					Cure: finding.Say("give it a later time, or an earlier one to %s", from)}.At(s.Pos))
				continue
			}
			now, from = u.Clock, s.Name()
		default:
			now += u.After
		}
	}
}

// shortest is how long a piece lasts when go comes at once wherever it waits.
func shortest(s *show.Show) time.Duration {
	d := s.Length
	for i := range s.Waits {
		d += s.Waits[i].Until.After - s.Waits[i].Gap
	}
	return d
}
