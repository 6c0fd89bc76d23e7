package calendar

import (
	"time"

	"lampblack/play/clock"
)

// on returns the hours of a day, and whose they are, in words; "" for the week's own.
func (c *Calendar) on(d day) (Hours, string) {
	date := d.date()
	yearly := Date{0, date.Month, date.Day}
	for _, when := range []Date{date, yearly} {
		if e := c.dates[when]; e != nil {
			return e.Hours, e.Why
		}
	}
	for _, dated := range []bool{true, false} {
		for i := range c.Seasons {
			if s := &c.Seasons[i]; (s.From.Year != 0) == dated && s.holds(date) {
				return s.Hours.Days[d.weekday()], s.Name.Name
			}
		}
	}
	return c.Hours.Days[d.weekday()], ""
}

// opening is a stretch of instants in which the place is open, joined of all spans that
// touch.
type opening struct {
	from, to time.Time // to is zero when no end is in sight
	why      string
}

// openings walks through the openings of a calendar, day by day.
type openings struct {
	c       *Calendar
	at      *time.Location
	next    day // the first that was not looked at
	last    day // where it gives up
	waiting []opening
}

// sight is how far ahead anything is looked for, beyond the last date of the text:
// days of the week and days of the year meet again within 12 years, however leap years
// fall.
const sight = 12*366 + 1

func (c *Calendar) openings(from day) *openings {
	return &openings{c: c, at: c.Zone.location(), next: from, last: max(from+sight, c.dated+2)}
}

// fill adds the openings of the next day; false when it is beyond sight. What the
// clocks skip whole is left out.
func (o *openings) fill() bool {
	if o.next > o.last {
		return false
	}
	hours, why := o.c.on(o.next)
	midnight := o.next.midnight()
	for _, s := range hours.Spans {
		from, to := clock.Met(o.at, midnight.Add(minutes(s.From))), clock.Met(o.at, midnight.Add(minutes(s.end())))
		if from.Before(to) {
			o.waiting = append(o.waiting, opening{from, to, why})
		}
	}
	o.next++
	return true
}

// one returns the next opening, whole: days are looked at until none that is left can
// touch it.
func (o *openings) one() (opening, bool) {
	for len(o.waiting) == 0 {
		if !o.fill() {
			return opening{}, false
		}
	}
	whole := o.waiting[0]
	o.waiting = o.waiting[1:]
	for {
		for len(o.waiting) > 0 && !o.waiting[0].from.After(whole.to) {
			if o.waiting[0].to.After(whole.to) {
				whole.to = o.waiting[0].to
			}
			o.waiting = o.waiting[1:]
		}
		if len(o.waiting) > 0 || clock.Met(o.at, o.next.midnight()).After(whole.to) {
			return whole, true
		}
		if !o.fill() {
			whole.to = time.Time{}
			return whole, true
		}
	}
}

// tests returns the self-tests from a day on, of the days that there are, until yield
// returns false or the day is beyond sight.
func (c *Calendar) tests(from, last day, yield func(from, to time.Time) bool) {
	at := c.Zone.location()
	for d := from; d <= last; d++ {
		if !c.exists(d) {
			continue
		}
		begin := clock.Met(at, d.midnight().Add(minutes(c.SelfTest.At)))
		if !yield(begin, begin.Add(c.SelfTest.For)) {
			return
		}
	}
}

// exists tells whether the clocks of the place show a date at all.
func (c *Calendar) exists(d day) bool {
	at := c.Zone.location()
	return clock.Met(at, d.midnight()).Before(clock.Met(at, (d + 1).midnight()))
}

// Midnight returns the instant at which the date that the clocks show at t begins, or
// that of some days later.
func (c *Calendar) Midnight(t time.Time, later int) time.Time {
	at := c.Zone.location()
	return clock.Met(at, (dayAt(at, t) + day(later)).midnight())
}

// Why tells whose hours the date has that the clocks show at t: the reason of an
// exception, or the name of a season; "" for the week's own.
func (c *Calendar) Why(t time.Time) string {
	_, why := c.on(dayAt(c.Zone.location(), t))
	return why
}
