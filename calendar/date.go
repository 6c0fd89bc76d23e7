package calendar

import (
	"fmt"
	"strconv"
	"strings"
	"time"
)

// Date is a day of the calendar, ISO 8601: 2026-12-24; or without a year, of every
// year: 12-24.
type Date struct {
	Year  int // 0 for every year
	Month time.Month
	Day   int
}

// Years that a date may lie in: others are slips of the hand.
const (
	firstYear = 1970
	lastYear  = 2199
)

// UnmarshalText reads a day that exists.
func (d *Date) UnmarshalText(b []byte) error {
	parts := strings.Split(string(b), "-")
	year := "2000" // a leap year: 02-29 comes in some years
	if len(parts) == 3 {
		year, parts = parts[0], parts[1:]
	}
	if len(parts) != 2 || len(year) != 4 || len(parts[0]) != 2 || len(parts[1]) != 2 {
		return fmt.Errorf("%q should be a day, as 2026-12-24, or as 12-24 for every year", b)
	}
	y, err1 := strconv.ParseUint(year, 10, 16)
	m, err2 := strconv.ParseUint(parts[0], 10, 8)
	day, err3 := strconv.ParseUint(parts[1], 10, 8)
	last := time.Date(int(y), time.Month(m)+1, 0, 0, 0, 0, 0, time.UTC).Day()
	switch {
	case err1 != nil || err2 != nil || err3 != nil:
		return fmt.Errorf("%q should be a day, as 2026-12-24, or as 12-24 for every year", b)
	case m < 1 || m > 12:
		return fmt.Errorf("%q: there is no month %d", b, m)
	case y < firstYear || y > lastYear:
		return fmt.Errorf("%q lies outside the years %d to %d", b, firstYear, lastYear)
	case day == 29 && m == 2 && last == 28:
		return fmt.Errorf("%q: %d is no leap year, its February has 28 days", b, y)
	case day < 1 || int(day) > last:
		return fmt.Errorf("%q: %s has %d days", b, time.Month(m), last)
	}
	*d = Date{0, time.Month(m), int(day)}
	if year != "2000" || strings.Count(string(b), "-") == 2 {
		d.Year = int(y)
	}
	return nil
}

// Units says how the value is written.
func (Date) Units() string { return "year-month-day, or month-day for every year" }

func (d Date) String() string {
	if d.Year == 0 {
		return fmt.Sprintf("%02d-%02d", int(d.Month), d.Day)
	}
	return fmt.Sprintf("%04d-%02d-%02d", d.Year, int(d.Month), d.Day)
}

// read tells whether a date was understood.
func (d Date) read() bool { return d.Month != 0 }

// inYear orders the days of a year.
func (d Date) inYear() int { return int(d.Month)*32 + d.Day }

// day counts days from 1970-01-01 on, of the calendar and not of any clock.
type day int

const secondsADay = 24 * 60 * 60

func dayOf(year int, month time.Month, date int) day {
	return day(time.Date(year, month, date, 0, 0, 0, 0, time.UTC).Unix() / secondsADay)
}

// midnight is the day's 0:00, written in UTC whatever the zone.
func (d day) midnight() time.Time { return time.Unix(int64(d)*secondsADay, 0).UTC() }

func (d day) date() Date {
	y, m, n := d.midnight().Date()
	return Date{y, m, n}
}

func (d day) weekday() time.Weekday { return d.midnight().Weekday() }

// day returns the day of a date that has a year.
func (d Date) day() day { return dayOf(d.Year, d.Month, d.Day) }
