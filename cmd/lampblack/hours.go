package main

import (
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"
	"text/tabwriter"
	"time"

	"github.com/spf13/cobra"

	"lampblack/calendar"
	"lampblack/check/finding"
	"lampblack/show"
	"lampblack/si"
	"lampblack/source"
)

const hoursHelp = `Print what calendar.yaml comes to, day by day, by the clocks of the place: when it
opens and closes, when the looks before and after that stand, and when the lamps
test themselves. A time on another date than its row has its day of the week. What
clock changes of the next year do to the hours is told as notes.`

// mostDays bounds the days that are printed.
const mostDays = 366

func hoursCmd() *cobra.Command {
	var from string
	var days int
	var asJSON bool
	c := &cobra.Command{
		Use:   "hours DIR",
		Short: "print when a place opens, closes and tests itself",
		Long:  hoursHelp,
		Args:  dirArg,
		RunE: func(c *cobra.Command, args []string) error {
			cal, err := calendarOf(c, args[0])
			if err != nil {
				return err
			}
			first, err := firstDay(cal, from)
			if err != nil {
				return err
			}
			if days < 1 || days > mostDays {
				return fmt.Errorf("--days %d lies outside 1 to %d", days, mostDays)
			}
			writeFaults(c.ErrOrStderr(), cal.Ahead(first))
			if asJSON {
				return writeJSON(c.OutOrStdout(), happenings(cal, first, days))
			}
			return writeHours(c.OutOrStdout(), cal, first, days)
		},
	}
	c.Flags().StringVar(&from, "from", "", "the first day, as 2026-12-24; today when absent")
	c.Flags().IntVar(&days, "days", 7, "how many days")
	c.Flags().BoolVar(&asJSON, "json", false, "print what happens as JSON, one thing after another")
	return c
}

// writeFaults prints faults, notes among them, where there are any.
func writeFaults(words io.Writer, faults source.Faults) {
	if len(faults) > 0 {
		writeFound(words, finding.FromFaults(faults))
	}
}

// calendarOf reads a show's calendar; faults of any of its files are printed, and end it.
func calendarOf(c *cobra.Command, dir string) (*calendar.Calendar, error) {
	l, faults, err := read(c.Context(), c.ErrOrStderr(), dir)
	if err != nil {
		return nil, err
	}
	l.close()
	writeFaults(c.ErrOrStderr(), faults)
	switch {
	case faults.Err() != nil:
		return nil, errStops
	case l.files.Calendar == nil:
		return nil, hinted{errors.New("this show has no calendar"), "docs/files.md has the form of " + show.CalendarFile}
	}
	return l.files.Calendar, nil
}

// firstDay is the midnight at which the first day begins.
func firstDay(cal *calendar.Calendar, from string) (time.Time, error) {
	if from == "" {
		return cal.Midnight(time.Now(), 0), nil
	}
	t, err := time.Parse(time.DateOnly, from)
	if err != nil {
		return time.Time{}, hinted{fmt.Errorf("--from %q is no day", from), "as 2026-12-24"}
	}
	// Noon of that date in UTC lies on it, or on the next, everywhere: -12 h to +14 h.
	day := cal.Midnight(t.Add(12*time.Hour), 0)
	if day.Format(time.DateOnly) > from {
		day = cal.Midnight(t.Add(12*time.Hour), -1)
	}
	return day, nil
}

// happening is one thing that happens, for programs.
type happening struct {
	At     time.Time  `json:"at"`
	What   string     `json:"what"`
	Is     string     `json:"is"` // from then on
	Until  *time.Time `json:"until,omitempty"`
	Look   string     `json:"look,omitempty"`
	Why    string     `json:"why,omitempty"`
	Asleep bool       `json:"triggersAsleep"`
}

func happenings(cal *calendar.Calendar, first time.Time, days int) []happening {
	out := []happening{}
	for e := range events(cal, first, cal.Midnight(first, days)) {
		h := happening{At: e.At, What: e.What.String(), Is: e.State.Is.String(), Look: e.State.Look, Why: e.State.Why, Asleep: e.State.Asleep}
		if !e.State.Until.IsZero() {
			h.Until = &e.State.Until
		}
		out = append(out, h)
	}
	return out
}

// events are those from an instant on and before another.
func events(cal *calendar.Calendar, from, to time.Time) func(yield func(calendar.Event) bool) {
	return func(yield func(calendar.Event) bool) {
		e, ok := cal.Next(from.Add(-1))
		for ok && e.At.Before(to) && yield(e) {
			e, ok = cal.Next(e.At)
		}
	}
}

// hoursRow is an opening, with what belongs to it.
type hoursRow struct {
	startUp, opens, closes, ends time.Time // zero for none
}

// hoursRows gathers openings and self-tests by their date. Openings are looked for from
// two days before on, as one may begin with a start-up on the day before.
func hoursRows(cal *calendar.Calendar, first time.Time, days int) (rows map[string][]hoursRow, tests map[string]time.Time) {
	rows, tests = map[string][]hoursRow{}, map[string]time.Time{}
	var now hoursRow
	put := func() {
		if !now.opens.IsZero() {
			date := now.opens.Format(time.DateOnly)
			rows[date] = append(rows[date], now)
		}
		now = hoursRow{}
	}
	for e := range events(cal, cal.Midnight(first, -2), cal.Midnight(first, days+2)) {
		switch e.What {
		case calendar.TestBegins:
			tests[e.At.Format(time.DateOnly)] = e.At
		case calendar.Opens:
			now.opens = e.At
		case calendar.Closes:
			now.closes = e.At
		}
		if !now.closes.IsZero() && e.State.Is != calendar.ClosingDown {
			if e.What != calendar.Closes {
				now.ends = e.At
			}
			put()
		}
		if e.State.Is == calendar.StartingUp {
			now.startUp = e.At
		}
	}
	put()
	return rows, tests
}

// writeHours prints a row for each opening, and one for each day without any.
func writeHours(out io.Writer, cal *calendar.Calendar, first time.Time, days int) error {
	rows, tests := hoursRows(cal, first, days)
	var b strings.Builder
	w := tabwriter.NewWriter(&b, 0, 0, 2, ' ', 0)
	fmt.Fprintf(w, "%s\tself-test\tstart-up\topens\tcloses\tclose-down ends\t\n", cal.Zone.Name)
	for n := range days {
		day, next := cal.Midnight(first, n), cal.Midnight(first, n+1)
		if !day.Before(next) {
			continue // the place skipped it
		}
		date := day.Format(time.DateOnly)
		test, about := tests[date], aboutDay(cal, day, next)
		for i, r := range rows[date] {
			head := day.Format("Mon 2006-01-02")
			if i > 0 {
				head, test, about = "", time.Time{}, ""
			}
			fmt.Fprintf(w, "%s\t%s\t%s\t%s\t%s\t%s\t%s\n", head, onDay(test, day, next), onDay(r.startUp, day, next), onDay(r.opens, day, next), onDay(r.closes, day, next), onDay(r.ends, day, next), about)
		}
		if len(rows[date]) == 0 {
			what, late := standing(cal.At(day), day, next)
			fmt.Fprintf(w, "%s\t%s\t\t%s\t\t\t%s\n", day.Format("Mon 2006-01-02"), onDay(test, day, next), what, joinedBy("; ", late, about))
		}
	}
	_ = w.Flush() // into memory
	for line := range strings.Lines(b.String()) {
		if _, err := fmt.Fprintln(out, strings.TrimRight(line, " \n")); err != nil {
			return err
		}
	}
	return nil
}

// standing tells of a day on which nothing opens, by what is at its beginning.
func standing(s calendar.State, day, next time.Time) (what, about string) {
	switch {
	case s.Is != calendar.Open:
		return "closed", ""
	case s.Until.IsZero() || !s.Until.Before(next):
		return "open all day", ""
	}
	return "closed", "open from the day before until " + onDay(s.Until, day, next)
}

// onDay is a time of day in a row: with the day of the week when it is another's, and
// with the name of the clocks' time on a day on which they change.
func onDay(t, day, next time.Time) string {
	if t.IsZero() {
		return ""
	}
	text := t.Format("15:04")
	if day.Format("MST") != next.Format("MST") {
		text += t.Format(" MST")
	}
	if t.Before(day) || !t.Before(next) {
		text = t.Format("Mon ") + text
	}
	return text
}

// aboutDay says whose hours a day has, and when its clocks change.
func aboutDay(cal *calendar.Calendar, day, next time.Time) string {
	clocks := ""
	_, before := day.Zone()
	_, after := next.Zone()
	switch step := time.Duration(after-before) * time.Second; {
	case step > 0:
		clocks = "clocks go forward by " + stretch(step)
	case step < 0:
		clocks = "clocks go back by " + stretch(-step)
	}
	return joinedBy("; ", source.Visible(cal.Why(day)), clocks)
}

// joinedBy joins what is not empty.
func joinedBy(between string, parts ...string) string {
	return strings.Join(slices.DeleteFunc(parts, func(p string) bool { return p == "" }), between)
}

// stretch is a length of time in hours where they are whole, else in minutes.
func stretch(d time.Duration) string {
	if d%time.Hour == 0 {
		return si.Say(d.Hours(), "h")
	}
	return si.Say(d.Minutes(), "min")
}
