package calendar

import (
	"slices"
	"time"

	"lampblack/play/clock"
	"lampblack/source"
)

// Ahead returns what deserves a word of the year that follows an instant: a place that
// is never open in it, and times of day that a clock change skips or brings twice, with
// what will happen. A time is told for the first change that it meets.
func (c *Calendar) Ahead(from time.Time) source.Faults {
	var faults source.Faults
	if c.Zone.at == nil {
		return nil // it has its fault
	}
	first := dayAt(c.Zone.at, from)
	year := c.openings(first)
	year.last = first + 366
	if _, open := year.one(); !open && c.ever() {
		// No fault, since a place is made ready before it opens, and that is rehearsed.
		faults.Note(c.Pos, "look through the seasons and the exceptions", "the place is never open in the year from %s on", first.date())
	}
	said := map[source.Pos][]string{}
	for _, d := range c.changes(from) {
		for n := d - 1; n <= d; n++ {
			c.dayAhead(n, said, &faults)
		}
	}
	faults.Sort()
	return faults
}

// changes lists the days of a year that a clock change touches: the dates that the
// clocks show before and after it and all between.
func (c *Calendar) changes(from time.Time) []day {
	var out []day
	for t := from.In(c.Zone.at); ; {
		_, end := clock.Offset(t)
		if end.IsZero() || end.Sub(from) > 366*24*time.Hour {
			return slices.Compact(out)
		}
		for d := dayAt(c.Zone.at, end.Add(-time.Second)); d <= dayAt(c.Zone.at, end); d++ {
			out = append(out, d)
		}
		t = end
	}
}

// dayAhead tells of the times of one day's hours and self-test.
func (c *Calendar) dayAhead(d day, said map[source.Pos][]string, faults *source.Faults) {
	hours, _ := c.on(d)
	midnight := d.midnight()
	for _, s := range hours.Spans {
		from, to := midnight.Add(minutes(s.From)), midnight.Add(minutes(s.end()))
		if met := clock.Met(c.Zone.at, from); met.Equal(clock.Met(c.Zone.at, to)) {
			faults.Note(s.Pos, "", "on %s the clocks skip the hours %s whole: there is no opening", d.date(), s)
			continue
		}
		c.clockAhead(d, s.From, "opening", s.Pos, said, faults)
		c.clockAhead(d, s.end(), "closing", s.Pos, said, faults)
	}
	if c.SelfTest.For > 0 && c.exists(d) {
		c.clockAhead(d, c.SelfTest.At, "self-test", c.SelfTest.Pos, said, faults)
	}
}

func (c *Calendar) clockAhead(d day, means Clock, what string, pos source.Pos, said map[source.Pos][]string, faults *source.Faults) {
	wall := d.midnight().Add(minutes(means))
	met := clock.Met(c.Zone.at, wall)
	skips := !shown(met).Equal(wall)
	key := what + " skipped"
	if !skips {
		key = what + " doubled"
	}
	if !skips && !comesAgain(met) || slices.Contains(said[pos], key) {
		return
	}
	said[pos] = append(said[pos], key)
	const form = "2006-01-02"
	switch {
	case skips:
		before := shown(met.Add(-time.Nanosecond)).Add(time.Nanosecond)
		faults.Note(pos, "", "on %s the clocks jump from %s to %s, so the %s at %s happens at the jump", before.Format(form), before.Format("15:04"), shownAt(met, before), what, wall.Format("15:04"))
	default:
		faults.Note(pos, "", "on %s the clocks go back and %s comes twice: the %s happens the first time", wall.Format(form), wall.Format("15:04"), what)
	}
}

// shownAt is the time of day after a jump, with its date when that is another one.
func shownAt(met, before time.Time) string {
	after := shown(met)
	if after.YearDay() != before.YearDay() {
		return after.Format("2006-01-02 15:04")
	}
	return after.Format("15:04")
}

// comesAgain tells whether the clocks show again what they show at an instant. They go
// back by a day at most, so what begins later than that shows later times.
func comesAgain(t time.Time) bool {
	wall := shown(t)
	for at := t; ; {
		_, end := clock.Offset(at)
		if end.IsZero() || end.Sub(t) > 26*time.Hour {
			return false
		}
		_, offset := end.Zone()
		_, until := clock.Offset(end)
		again := wall.Add(-time.Duration(offset) * time.Second)
		if !again.Before(end) && (until.IsZero() || again.Before(until)) {
			return true
		}
		at = end
	}
}
