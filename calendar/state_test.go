package calendar

import (
	"fmt"
	"math/rand/v2"
	"os"
	"slices"
	"strings"
	"testing"
	"time"
)

// drawn is a random calendar, as text and as what a simulator needs of it.
type drawn struct {
	text                 string
	zone                 string
	week                 [7][][2]int // by time.Weekday; minutes, the second beyond 1440 over midnight
	winter               [7][][2]int
	winterFrom, to       int // month * 100 + day
	once                 map[string][][2]int
	up, down, test, for_ int // minutes; test is -1 for none
	asleep               bool
}

func clockText(m int) string { return fmt.Sprintf("%d:%02d", m/60, m%60) }

func hoursText(spans [][2]int) string {
	if len(spans) == 0 {
		return "closed"
	}
	var out []string
	for _, s := range spans {
		to := s[1]
		if to > 1440 {
			to -= 1440
		}
		out = append(out, clockText(s[0])+" to "+clockText(to))
	}
	return "[" + strings.Join(out, ", ") + "]"
}

// someSpans are up to two spans that do not overlap; late ones go over midnight, and
// may meet the next day's.
func someSpans(r *rand.Rand) (out [][2]int) {
	switch r.IntN(5) {
	case 0:
		return nil
	case 1:
		out = append(out, [2]int{r.IntN(240), 240 + r.IntN(300)})
	case 2:
		out = append(out, [2]int{600, 780}, [2]int{780 + r.IntN(120), 1080})
	case 3:
		out = append(out, [2]int{r.IntN(180), 180 + r.IntN(10)})
	}
	if r.IntN(3) == 0 {
		out = append(out, [2]int{1100 + r.IntN(300), 1441 + r.IntN(200)})
	}
	return out
}

var manyZones = []string{"Europe/Berlin", "Australia/Lord_Howe", "America/Santiago", "America/Phoenix", "Pacific/Apia", "America/New_York", "Pacific/Chatham", "Africa/Casablanca"}

func draw(r *rand.Rand, zone string, year int) drawn {
	d := drawn{zone: zone, winterFrom: 1101, to: 229, once: map[string][][2]int{}, up: r.IntN(90), down: r.IntN(90), test: -1, asleep: r.IntN(2) == 0}
	var b strings.Builder
	week := func(w *[7][][2]int) {
		for i, name := range []string{"sunday", "monday", "tuesday", "wednesday", "thursday", "friday", "saturday"} {
			w[i] = someSpans(r)
			fmt.Fprintf(&b, "      %s: %s\n", name, hoursText(w[i]))
		}
	}
	fmt.Fprintf(&b, "time zone: %s\ntriggers asleep outside hours: %v\nhours:\n", zone, d.asleep)
	week(&d.week)
	fmt.Fprintf(&b, "seasons:\n  - season: winter\n    from: 11-01\n    to: 02-29\n    hours:\n")
	week(&d.winter)
	fmt.Fprintf(&b, "exceptions:\n")
	for range 20 {
		on := time.Date(year, 1, 1+r.IntN(730), 0, 0, 0, 0, time.UTC).Format(time.DateOnly)
		if _, twice := d.once[on]; !twice {
			d.once[on] = someSpans(r)
			fmt.Fprintf(&b, "  - {on: %s, hours: %s, why: no reason}\n", on, hoursText(d.once[on]))
		}
	}
	if d.up > 0 {
		fmt.Fprintf(&b, "start-up: {look: warm, before opening: %d min}\n", d.up)
	}
	if d.down > 0 {
		fmt.Fprintf(&b, "close-down: {look: leaving, after closing: %d min}\n", d.down)
	}
	if r.IntN(3) > 0 {
		d.test, d.for_ = r.IntN(300), 1+r.IntN(30)
		fmt.Fprintf(&b, "self-test: {at: %s, for: %d min}\n", clockText(d.test), d.for_)
	}
	d.text = b.String()
	return d
}

// of is what the simulator takes for the hours of a date.
func (d *drawn) of(t time.Time) [][2]int {
	if s, ok := d.once[t.Format(time.DateOnly)]; ok {
		return s
	}
	if n := int(t.Month())*100 + t.Day(); n >= d.winterFrom || n <= d.to {
		return d.winter[t.Weekday()]
	}
	return d.week[t.Weekday()]
}

// simulate says for every minute what the place does, by a clock on the wall that is
// looked at every minute and whose hands, when they are set back, are held until they
// would go on. It shares nothing with the package.
func (d *drawn) simulate(t *testing.T, from time.Time, minutes int) []Kind {
	at, err := time.LoadLocation(d.zone)
	if err != nil {
		t.Fatal(err)
	}
	hand := make([]time.Time, minutes) // the latest that the clock has shown, as UTC
	day := make([]time.Time, minutes)  // its date
	var latest time.Time
	for i := range hand {
		now := from.Add(time.Duration(i) * time.Minute).In(at)
		wall := time.Date(now.Year(), now.Month(), now.Day(), now.Hour(), now.Minute(), 0, 0, time.UTC)
		if wall.After(latest) {
			latest = wall
		}
		hand[i], day[i] = latest, latest.Truncate(24*time.Hour)
	}
	out := make([]Kind, minutes)
	var today, yesterday [][2]int
	for i := range out {
		if i == 0 || day[i] != day[i-1] {
			today, yesterday = d.of(day[i]), d.of(day[i].AddDate(0, 0, -1))
		}
		m := int(hand[i].Sub(day[i]) / time.Minute)
		inside := func(s [2]int) bool { return m >= s[0] && m < s[1] }
		late := func(s [2]int) bool { return m+1440 >= s[0] && m+1440 < s[1] }
		if slices.ContainsFunc(today, inside) || slices.ContainsFunc(yesterday, late) {
			out[i] = Open
		}
	}
	soon := minutes // minutes to the next that is open
	for i := minutes - 1; i >= 0; i-- {
		if soon++; out[i] == Open {
			soon = 0
		} else if soon <= d.up {
			out[i] = StartingUp
		}
	}
	ago := minutes
	for i := range out {
		if ago++; out[i] == Open {
			ago = 0
		} else if out[i] == Closed && ago <= d.down {
			out[i] = ClosingDown
		}
	}
	if d.test < 0 {
		return out
	}
	met := map[time.Time]bool{}
	for i := 0; i+d.for_ < minutes; i++ {
		if met[day[i]] || hand[i].Sub(day[i]) < time.Duration(d.test)*time.Minute {
			continue
		}
		met[day[i]] = true
		fits := true
		for k := i; k < i+d.for_; k++ {
			fits = fits && (out[k] == Closed || out[k] == Testing)
		}
		for k := i; fits && k < i+d.for_; k++ {
			out[k] = Testing
		}
	}
	return out
}

// For random calendars in many zones the simulator, the events one after another, and
// At say the same at every minute of two years, so that no event is lost or told
// twice. At is asked at one minute in 61 and around every event; under LAMPBLACK_LONG,
// for a calendar of each zone, at every minute.
func TestBesideASimulator(t *testing.T) {
	n, long := len(manyZones), os.Getenv("LAMPBLACK_LONG") != ""
	if long {
		n = 3 * len(manyZones)
	}
	if testing.Short() {
		n = 3
	}
	kinds, events := map[Kind]int{}, map[What]int{}
	for i := range n {
		every := 61
		if long && i < len(manyZones) {
			every = 1
		}
		r := rand.New(rand.NewPCG(7, uint64(i)))
		year := 2026
		if manyZones[i%len(manyZones)] == "Pacific/Apia" {
			year = 2011 // a day was skipped in it
		}
		d := draw(r, manyZones[i%len(manyZones)], year)
		c := d.calendar(t)
		from, minutes := time.Date(year, 1, 2, 0, 0, 0, 0, time.UTC), 2*365*24*60-3*24*60
		want := d.simulate(t, from.Add(-3*24*time.Hour), minutes+6*24*60)[3*24*60:]
		is := c.At(from)
		next, more := c.Next(from)
		for m := range minutes {
			now := from.Add(time.Duration(m) * time.Minute)
			for more && !next.At.After(now) {
				events[next.What]++
				if before := c.At(next.At.Add(-1)); before.Is != is.Is || !before.Until.Equal(next.At) {
					t.Fatalf("calendar %d: just before %v it is %+v, and by the events %+v\n%s", i, next, before, is, d.text)
				}
				if c.At(next.At) != next.State {
					t.Fatalf("calendar %d: %v says %+v, and then it is %+v\n%s", i, next.At, next.State, c.At(next.At), d.text)
				}
				last := next
				is = next.State
				if next, more = c.Next(last.At); more && (!next.At.After(last.At) || next.State.Is == last.State.Is || next.What != wanted(last.State.Is, next.State.Is)) {
					t.Fatalf("calendar %d: after %+v comes %+v\n%s", i, last, next, d.text)
				}
			}
			if m%every == 0 {
				s := c.At(now)
				if is.Is != Open {
					s.Why = is.Why // of the date, which may be another by now
				}
				if s != is {
					t.Fatalf("calendar %d: at %v it is %+v, and by the events %+v\n%s", i, now, s, is, d.text)
				}
			}
			if is.Is != want[m] {
				t.Fatalf("calendar %d: at %v (%v) it is %v, and by the simulator %v\n%s", i, now, now.In(c.Zone.at), is.Is, want[m], d.text)
			}
			if is.Asleep != (d.asleep && is.Is != Open) {
				t.Fatalf("calendar %d: triggers asleep %v while %v", i, is.Asleep, is.Is)
			}
			kinds[is.Is]++
		}
	}
	t.Logf("%d calendars of two years; minutes %v; events %v", n, kinds, events)
	if len(kinds) != 5 || len(events) != 6 {
		t.Error("not all that there is was met")
	}
}

// wanted is what happens between two states, as a table.
func wanted(before, after Kind) What {
	return map[[2]Kind]What{
		{Closed, Open}: Opens, {StartingUp, Open}: Opens, {Testing, Open}: Opens, {ClosingDown, Open}: Opens,
		{Open, Closed}: Closes, {Open, ClosingDown}: Closes, {Open, StartingUp}: Closes, {Open, Testing}: Closes,
		{Closed, StartingUp}: StartUpBegins, {Testing, StartingUp}: StartUpBegins, {ClosingDown, StartingUp}: StartUpBegins,
		{Closed, Testing}: TestBegins, {ClosingDown, Testing}: TestBegins,
		{Testing, Closed}: TestEnds, {ClosingDown, Closed}: CloseDownEnds,
	}[[2]Kind{before, after}]
}

func (d *drawn) calendar(t *testing.T) *Calendar {
	t.Helper()
	c, faults := Read("calendar.yaml", []byte(d.text), nil)
	for _, f := range faults {
		// Random spans may meet their neighbours and the self-test, which is a
		// fault, and still has to be told right.
		if !f.Mild && !strings.Contains(f.Text, "overlap") && !strings.Contains(f.Text, "go over midnight") && !strings.Contains(f.Text, "the self-test at") {
			t.Fatalf("%v\n%s", f, d.text)
		}
	}
	return c
}

// A calendar without hours, one without an end, and one whose next opening lies years
// ahead.
func TestFarAhead(t *testing.T) {
	at := time.Date(2026, 11, 28, 12, 0, 0, 0, time.UTC)
	never, _ := Read("c", []byte("time zone: UTC\nhours: closed\n"), nil)
	if e, ok := never.Next(at); ok || never.At(at) != (State{}) {
		t.Errorf("a place that is never open: %+v, %+v", e, never.At(at))
	}
	always, _ := Read("c", []byte("time zone: UTC\nhours: 0:00 to 24:00\n"), nil)
	if e, ok := always.Next(at); ok || always.At(at) != (State{Is: Open}) {
		t.Errorf("a place that is always open: %+v, %+v", e, always.At(at))
	}
	// 29 February on a Monday: 2044 after 2016.
	leap, _ := Read("c", []byte("time zone: UTC\nseasons: [{season: leap day, from: 02-29, to: 02-29, hours: {monday: 10:00 to 12:00}}]\n"), nil)
	if e, ok := leap.Next(time.Date(2032, 3, 1, 0, 0, 0, 0, time.UTC)); !ok || e.What != Opens || e.State.Why != "leap day" || !e.At.Equal(time.Date(2044, 2, 29, 10, 0, 0, 0, time.UTC)) {
		t.Errorf("the next leap day on a monday: %+v %v", e, ok)
	}
	far, _ := Read("c", []byte("time zone: UTC\nexceptions: [{on: 2099-05-01, hours: 10:00 to 12:00, why: the centenary}]\n"), nil)
	e, ok := far.Next(at)
	if !ok || e.What != Opens || e.State.Why != "the centenary" || !e.At.Equal(time.Date(2099, 5, 1, 10, 0, 0, 0, time.UTC)) {
		t.Errorf("the centenary: %+v %v", e, ok)
	}
	if e, ok = far.Next(e.At); !ok || e.What != Closes || !e.At.Equal(time.Date(2099, 5, 1, 12, 0, 0, 0, time.UTC)) {
		t.Errorf("its end: %+v %v", e, ok)
	}
	if _, ok = far.Next(e.At); ok {
		t.Error("something comes after it")
	}
}

// Lengths are counted in instants: half an hour before an opening at 3:15 on the day
// on which clocks jump from 2:00 to 3:00 is 1:45.
func TestLengthsAreInstants(t *testing.T) {
	c, faults := Read("c", []byte("time zone: Europe/Berlin\nhours: {sunday: 3:15 to 9:00, saturday: 20:00 to 2:30}\nstart-up: {look: a, before opening: 30 min}\nclose-down: {look: b, after closing: 90 min}\n"), nil)
	if faults.Err() != nil {
		t.Fatal(faults)
	}
	var got []string
	for _, from := range []time.Time{time.Date(2027, 3, 27, 20, 0, 0, 0, time.UTC), time.Date(2027, 10, 30, 20, 0, 0, 0, time.UTC)} {
		for range 4 {
			e, _ := c.Next(from)
			got = append(got, fmt.Sprintf("%s %s: %v", e.At.Format("15:04 MST"), e.What, e.State.Is))
			from = e.At
		}
	}
	want := "03:00 CEST closes: starting up\n03:15 CEST opens: open\n09:00 CEST closes: closing down\n10:30 CEST close-down ends: closed\n" +
		"02:30 CEST closes: closing down\n02:45 CET start-up: starting up\n03:15 CET opens: open\n09:00 CET closes: closing down"
	if s := strings.Join(got, "\n"); s != want {
		t.Errorf("got\n%s\nwant\n%s", s, want)
	}
}

// Samoa went from 29 to 31 December 2011 at midnight (IANA tzdata, australasia): hours and
// self-test of the 30th do not happen, and a span over that midnight ends by the clocks.
func TestSkippedDay(t *testing.T) {
	c, faults := Read("c", []byte("time zone: Pacific/Apia\nhours: {thursday: 22:00 to 2:00, friday: 10:00 to 12:00, saturday: 10:00 to 12:00}\nself-test: {at: 8:00, for: 10 min}\n"), nil)
	if faults.Err() != nil {
		t.Fatal(faults)
	}
	var got []string
	for at := time.Date(2011, 12, 29, 12, 0, 0, 0, time.UTC); len(got) < 7; {
		e, _ := c.Next(at)
		got = append(got, e.At.Format("02 15:04 ")+e.What.String())
		at = e.At
	}
	want := "29 08:00 self-test, 29 08:10 self-test ends, 29 22:00 opens, 31 00:00 closes, 31 08:00 self-test, 31 08:10 self-test ends, 31 10:00 opens"
	if s := strings.Join(got, ", "); s != want {
		t.Errorf("got  %s\nwant %s", s, want)
	}
}

func BenchmarkAt(b *testing.B) {
	c, _ := Read("c", []byte(small("self-test: {at: 8:00, for: 5 min}")), nil)
	at := time.Date(2026, 11, 26, 12, 0, 0, 0, time.UTC)
	for b.Loop() {
		c.At(at)
	}
}
