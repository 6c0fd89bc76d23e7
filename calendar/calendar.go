package calendar

import (
	"slices"
	"time"

	"lampblack/source"
)

// Calendar is the text of calendar.yaml: when a place is open, and what it does before
// and after. It comes from Read, and nothing changes it.
type Calendar struct {
	source.Pos
	Zone       Zone        `key:"time zone,required"`
	Hours      Week        `key:"hours"`
	Seasons    []Season    `key:"seasons"`
	Exceptions []Exception `key:"exceptions"`
	StartUp    StartUp     `key:"start-up"`
	CloseDown  CloseDown   `key:"close-down"`
	SelfTest   SelfTest    `key:"self-test"`
	// Asleep says that triggers do nothing while the place is not open.
	Asleep bool `key:"triggers asleep outside hours"`

	dates map[Date]*Exception
	dated day // the last that the text names
}

// Season is a stretch of dates, both among it, with a week of its own. Without years it
// comes every year, and may go over the turn of the year.
type Season struct {
	source.Pos
	Name  source.Ref `key:"season,required"`
	From  Date       `key:"from,required"`
	To    Date       `key:"to,required"`
	Hours Week       `key:"hours,required"`
}

// Exception is a date with hours of its own, or none.
type Exception struct {
	source.Pos
	On    Date   `key:"on,required"`
	Hours Hours  `key:"hours,required"`
	Why   string `key:"why,required"`
}

// StartUp is the look that stands before each opening.
type StartUp struct {
	source.Pos
	Look   source.Ref    `key:"look,required"`
	Before time.Duration `key:"before opening,required"`
}

// CloseDown is the look that stands after each closing.
type CloseDown struct {
	source.Pos
	Look  source.Ref    `key:"look,required"`
	After time.Duration `key:"after closing,required"`
}

// SelfTest is when the lamps test themselves, every day.
type SelfTest struct {
	source.Pos
	At   Clock         `key:"at,required"`
	For  time.Duration `key:"for,required"`
	Look source.Ref    `key:"look"` // stands meanwhile
}

// Bounds of a calendar.
const (
	mostSeasons    = 100
	mostExceptions = 2000
	longestLook    = 12 * time.Hour // before opening and after closing
	longestTest    = 4 * time.Hour
)

// Read reads the text of a calendar, with all that is wrong with it; looks are the names
// of those that there are, nil when that is not known. A calendar with faults is whole
// as far as it could be understood. What depends on the year that comes is told by
// Ahead.
func Read(file string, data []byte, looks []string) (*Calendar, source.Faults) {
	c := &Calendar{}
	faults := source.Decode(file, data, c)
	if len(c.Seasons) > mostSeasons {
		faults.Add(c.Seasons[mostSeasons].Pos, "", "%d seasons are more than the %d of one calendar", len(c.Seasons), mostSeasons)
		c.Seasons = c.Seasons[:mostSeasons]
	}
	if len(c.Exceptions) > mostExceptions {
		faults.Add(c.Exceptions[mostExceptions].Pos, "long breaks are seasons", "%d exceptions are more than the %d of one calendar", len(c.Exceptions), mostExceptions)
		c.Exceptions = c.Exceptions[:mostExceptions]
	}
	c.checkSeasons(&faults)
	c.checkExceptions(&faults)
	c.checkLooks(looks, &faults)
	c.dated = c.lastDate()
	for _, w := range c.weeks() {
		w.check(c, &faults)
	}
	if !c.ever() {
		faults.Add(c.Pos, "hours: {tuesday to sunday: 10:00 to 18:00}", "the calendar has no opening hours at all: the place is never open")
	}
	faults.Sort()
	return c, faults
}

// weeks are the calendar's own week and those of its seasons.
func (c *Calendar) weeks() []*Week {
	out := []*Week{&c.Hours}
	for i := range c.Seasons {
		out = append(out, &c.Seasons[i].Hours)
	}
	return out
}

// ever tells whether any day has hours.
func (c *Calendar) ever() bool {
	for _, w := range c.weeks() {
		for d := range w.Days {
			if len(w.Days[d].Spans) > 0 {
				return true
			}
		}
	}
	return slices.ContainsFunc(c.Exceptions, func(e Exception) bool { return len(e.Hours.Spans) > 0 })
}

// lastDate is the last day that the text names with its year.
func (c *Calendar) lastDate() (last day) {
	for i := range c.Exceptions {
		if e := c.Exceptions[i].On; e.Year != 0 {
			last = max(last, e.day())
		}
	}
	for i := range c.Seasons {
		if s := &c.Seasons[i]; s.To.Year != 0 {
			last = max(last, s.To.day())
		}
	}
	return last
}

func (c *Calendar) checkSeasons(faults *source.Faults) {
	c.Seasons = slices.DeleteFunc(c.Seasons, func(s Season) bool {
		if !s.From.read() || !s.To.read() {
			return true // has its fault
		}
		switch {
		case (s.From.Year == 0) != (s.To.Year == 0):
			faults.Add(s.Pos, "give both a year, or neither, for every year", "season %s has a year at one end only", s.Name)
		case s.From.Year != 0 && s.To.day() < s.From.day():
			faults.Add(s.Pos, "", "season %s ends on %s, before it begins on %s", s.Name, s.To, s.From)
		default:
			return false
		}
		return true
	})
	for i := range c.Seasons {
		s := &c.Seasons[i]
		for j := range i {
			o := &c.Seasons[j]
			if o.Name.Name == s.Name.Name && s.Name.Name != "" {
				faults.Add(s.Name.Pos, "", "two seasons are called %q; the first is on line %d", s.Name.Name, o.Pos.Line)
			}
			if s.meets(o) {
				faults.Add(s.Pos, "end one before the other begins", "season %s (%s to %s) and season %s (%s to %s) share days", s.Name, s.From, s.To, o.Name, o.From, o.To)
			}
		}
	}
}

// meets tells whether two seasons of the same kind have a day in common. Of one with
// years and one of every year, the one with years holds.
func (s *Season) meets(o *Season) bool {
	if (s.From.Year == 0) != (o.From.Year == 0) {
		return false
	}
	return s.holds(o.From) || o.holds(s.From)
}

// holds tells whether a date lies in the season.
func (s *Season) holds(d Date) bool {
	if s.From.Year != 0 {
		return d.day() >= s.From.day() && d.day() <= s.To.day()
	}
	from, to, at := s.From.inYear(), s.To.inYear(), d.inYear()
	if from <= to {
		return from <= at && at <= to
	}
	return at >= from || at <= to
}

func (c *Calendar) checkExceptions(faults *source.Faults) {
	c.dates = map[Date]*Exception{}
	for i := range c.Exceptions {
		e := &c.Exceptions[i]
		if !e.On.read() {
			continue
		}
		if first := c.dates[e.On]; first != nil {
			faults.Add(e.Pos, "", "%s stands here twice; the first is on line %d", e.On, first.Pos.Line)
			continue
		}
		c.dates[e.On] = e
		if e.On.Year == 0 && e.On.Month == time.February && e.On.Day == 29 {
			faults.Note(e.Pos, "", "02-29 comes in leap years only")
		}
	}
	for i := range c.Exceptions {
		if e := &c.Exceptions[i]; c.dates[e.On] == e {
			c.checkException(e, faults)
		}
	}
}

func (c *Calendar) checkException(e *Exception, faults *source.Faults) {
	e.Hours.check(faults)
	if e.On.Year == 0 {
		return // what lies beside it differs from year to year
	}
	before, _ := c.on(e.On.day() - 1)
	after, _ := c.on(e.On.day() + 1)
	for _, s := range before.Spans {
		if tail := s.end() - noon24; tail > 0 && (len(e.Hours.Spans) == 0 || e.Hours.Spans[0].From < tail) {
			faults.Note(e.Pos, "give the day before hours of its own if they should end at midnight", "the hours of the day before, %s, go on into %s", s, e.On)
		}
	}
	for _, s := range e.Hours.Spans {
		if tail := s.end() - noon24; tail > 0 && len(after.Spans) > 0 && after.Spans[0].From < tail {
			faults.Note(s.Pos, "", "the hours of %s, %s, run into those of the day after, %s: they are one", e.On, s, after.Spans[0])
		}
	}
	if s, meets := c.meetsTest(before, e.Hours, after); meets {
		faults.Note(e.Pos, "", "the self-test at %s is left out on %s, as the hours %s are too near", c.SelfTest.At, e.On, s)
	}
}

// check finds what is wrong with one day by itself: spans are in the order of their
// beginnings.
func (h *Hours) check(faults *source.Faults) {
	for i := 1; i < len(h.Spans); i++ {
		if a, b := h.Spans[i-1], h.Spans[i]; b.From < a.end() {
			faults.Add(b.Pos, "", "the hours %s and %s overlap", a, b)
		}
	}
}

// check finds what is wrong with a week that goes round. Days that were written
// together have the same faults at the same place, which are told once.
func (w *Week) check(c *Calendar, faults *source.Faults) {
	for d := range w.Days {
		today, next := w.Days[d], w.Days[(d+1)%7]
		today.check(faults)
		for _, s := range today.Spans {
			if len(next.Spans) > 0 && next.Spans[0].From < s.end()-noon24 {
				faults.Add(s.Pos, "", "the hours %s go over midnight into those of the next day, %s", s, next.Spans[0])
			}
		}
		c.checkBreaks(today, faults)
		if s, meets := c.meetsTest(w.Days[(d+6)%7], today, next); meets {
			faults.Add(c.SelfTest.Pos, "choose a time of day at which the place is closed, and neither starts up nor closes down", "the self-test at %s meets the hours %s", c.SelfTest.At, s)
		}
	}
}

// checkBreaks tells of breaks that are too short for the looks around them.
func (c *Calendar) checkBreaks(h Hours, faults *source.Faults) {
	for i := 1; i < len(h.Spans); i++ {
		pause := minutes(h.Spans[i].From - h.Spans[i-1].end())
		switch {
		case pause <= 0 || pause >= c.StartUp.Before+c.CloseDown.After:
		case pause <= c.StartUp.Before:
			faults.Note(h.Spans[i].Pos, "", "the break before %s has no time for the close-down look: the start-up look stands all through it", h.Spans[i])
		default:
			faults.Note(h.Spans[i].Pos, "", "in the break before %s the start-up look cuts the close-down look short", h.Spans[i])
		}
	}
}

func minutes(c Clock) time.Duration { return time.Duration(c) * time.Minute }

// meetsTest returns the first span that the self-test of a day meets, with what goes
// before and after it, on the clock: a day in which clocks change is told by Ahead.
func (c *Calendar) meetsTest(before, today, after Hours) (Span, bool) {
	t := &c.SelfTest
	if t.For <= 0 {
		return Span{}, false
	}
	from := minutes(t.At)
	to := from + t.For
	for i, h := range []Hours{before, today, after} {
		midnight := minutes(noon24) * time.Duration(i-1)
		for _, s := range h.Spans {
			begin, end := midnight+minutes(s.From)-c.StartUp.Before, midnight+minutes(s.end())+c.CloseDown.After
			if from < end && begin < to {
				return s, true
			}
		}
	}
	return Span{}, false
}

// checkLooks finds looks that there are not, and lengths that cannot be, which count as
// none from then on.
func (c *Calendar) checkLooks(looks []string, faults *source.Faults) {
	for _, l := range []struct {
		name string
		look source.Ref
		pos  source.Pos
		last *time.Duration
		most time.Duration
	}{
		{"start-up", c.StartUp.Look, c.StartUp.Pos, &c.StartUp.Before, longestLook},
		{"close-down", c.CloseDown.Look, c.CloseDown.Pos, &c.CloseDown.After, longestLook},
		{"self-test", c.SelfTest.Look, c.SelfTest.Pos, &c.SelfTest.For, longestTest},
	} {
		if l.look.Name != "" && looks != nil && !slices.Contains(looks, l.look.Name) {
			faults.Add(l.look.Pos, source.OneOf(l.look.Name, looks), "there is no look %q", l.look.Name)
		}
		if l.pos.Line > 0 && (*l.last <= 0 || *l.last > l.most) {
			faults.Add(l.pos, "", "the %s lasts %v, which lies outside 0 to %v", l.name, *l.last, l.most)
			*l.last = 0
		}
	}
}

// Longest is how long the place is open on the day on which that is longest, as its text
// says, whatever the clocks do that night.
func (c *Calendar) Longest() time.Duration {
	most := time.Duration(0)
	day := func(h *Hours) {
		sum := time.Duration(0)
		for _, s := range h.Spans {
			sum += time.Duration(s.end()-s.From) * time.Minute
		}
		most = max(most, min(sum, 24*time.Hour))
	}
	for _, w := range c.weeks() {
		for d := range w.Days {
			day(&w.Days[d])
		}
	}
	for i := range c.Exceptions {
		day(&c.Exceptions[i].Hours)
	}
	return most
}
