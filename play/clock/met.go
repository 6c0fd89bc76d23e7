package clock

import "time"

// Met returns the first instant at which the clocks of a place show a wall time or a later one:
// the wall time's own where it comes once, the first where it comes twice, and the jump
// where it is skipped. The wall time is written in UTC.
//
// Within a stretch of one offset the wall time w comes at w - offset. Stretches are tried
// in their order, from well before any offset (within -12 h to +15 h) could have brought
// the clocks to w. Where that instant lies before the stretch, the clocks have jumped
// over w as it began.
func Met(at *time.Location, wall time.Time) time.Time {
	t := wall.Add(-26 * time.Hour).In(at)
	for {
		_, offset := t.Zone()
		start, end := Offset(t)
		met := wall.Add(-time.Duration(offset) * time.Second)
		switch {
		case !start.IsZero() && met.Before(start):
			return start
		case end.IsZero() || met.Before(end):
			return met.In(at)
		}
		t = end
	}
}

// Offset returns when the offset of the clocks at an instant began and when it ends; zero for
// never. Past
// the database's table Go 1.26 takes every year for one of 365 days and, on the last day
// of a leap year, gives an end that has gone by. Rules change no clocks on that day.
func Offset(t time.Time) (start, end time.Time) {
	start, end = t.ZoneBounds()
	if !end.IsZero() && !end.After(t) {
		end = t.Add(24 * time.Hour)
	}
	return start, end
}
