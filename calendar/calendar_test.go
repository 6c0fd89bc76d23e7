package calendar

import (
	"strings"
	"testing"
	"time"

	"lampblack/source"
)

// small is a calendar of a place that is open on Saturdays from ten to six, with more
// lines behind it.
func small(more ...string) string {
	return "time zone: Europe/Berlin\nhours: {saturday: 10:00 to 18:00}\n" + strings.Join(more, "\n") + "\n"
}

var someLooks = []string{"warm", "leaving"}

// told reads a text and returns its faults, each as one line, mild ones marked.
func told(text string) (out []string, faults source.Faults) {
	_, faults = Read("calendar.yaml", []byte(text), someLooks)
	for _, f := range faults {
		mark := ""
		if f.Mild {
			mark = "note: "
		}
		out = append(out, mark+f.Error())
	}
	return out, faults
}

// Every fault stands at its place, with what to do.
func TestFaults(t *testing.T) {
	for _, c := range []struct{ text, want string }{
		{small("exceptions: [{on: 2026-02-30, hours: closed, why: x}]"), `3:19: "2026-02-30": February has 28 days`},
		{small("exceptions: [{on: 2027-02-29, hours: closed, why: x}]"), `3:19: "2027-02-29": 2027 is no leap year, its February has 28 days`},
		{small("exceptions: [{on: 2100-02-29, hours: closed, why: x}]"), `2100 is no leap year`},
		{small("exceptions: [{on: 02-30, hours: closed, why: x}]"), `"02-30": February has 29 days`},
		{small("exceptions: [{on: 02-29, hours: closed, why: x}]"), `note: calendar.yaml:3:14: 02-29 comes in leap years only`},
		{small("exceptions: [{on: 2026-04-31, hours: closed, why: x}]"), `April has 30 days`},
		{small("exceptions: [{on: 2026-13-01, hours: closed, why: x}]"), `there is no month 13`},
		{small("exceptions: [{on: 2026-00-01, hours: closed, why: x}]"), `there is no month 0`},
		{small("exceptions: [{on: 2026-01-00, hours: closed, why: x}]"), `January has 31 days`},
		{small("exceptions: [{on: 0026-01-01, hours: closed, why: x}]"), `outside the years 1970 to 2199`},
		{small("exceptions: [{on: 24.12.2026, hours: closed, why: x}]"), `should be a day, as 2026-12-24, or as 12-24 for every year`},
		{small("exceptions: [{on: 2026-1x-24, hours: closed, why: x}]"), `should be a day`},
		{small("exceptions:", "  - {on: 2026-12-24, hours: closed, why: x}", "  - {on: 2026-12-24, hours: 10:00 to 12:00, why: y}"), `5:5: 2026-12-24 stands here twice; the first is on line 4`},
		{small("exceptions:", "  - {on: 12-24, hours: closed, why: x}", "  - {on: 12-24, hours: closed, why: y}"), `12-24 stands here twice`},
		{small("exceptions: [{on: 2026-12-24, hours: closed}]"), `3:14: "why" is missing here`},
		{small("exceptions: [{on: 2026-12-24, why: x}]"), `"hours" is missing here`},
		{small("exceptions: [{on: 2026-12-24, hours: {monday: closed}, why: x}]"), `opening hours should stand here (as 10:00 to 18:00`},
		{small("exceptions: [{on: 2026-12-24, hours: [closed, 10:00 to 12:00], why: x}]"), `a day is closed or has hours, and not both`},
		{small("exceptions: [{on: 2026-12-24, hours: [10:00 to 14:00, 13:00 to 15:00], why: x}]"), `3:55: the hours 10:00 to 14:00 and 13:00 to 15:00 overlap`},
		{"time zone: Europe/Berlin\nhours: {friday: 18:00 to 2:00}\nexceptions: [{on: 2026-12-26, hours: closed, why: x}]\n", `note: calendar.yaml:3:14: the hours of the day before, 18:00 to 2:00, go on into 2026-12-26`},
		{small("exceptions: [{on: 2026-12-25, hours: 20:00 to 11:00, why: x}]"), `note: calendar.yaml:3:38: the hours of 2026-12-25, 20:00 to 11:00, run into those of the day after, 10:00 to 18:00: they are one`},
		{small("self-test: {at: 8:00, for: 5 min}", "exceptions: [{on: 2026-12-25, hours: 7:00 to 9:00, why: x}]"), `note: calendar.yaml:4:14: the self-test at 8:00 is left out on 2026-12-25, as the hours 7:00 to 9:00 are too near`},

		{"time zone: Europe/Berlin\nhours: {monday: [10:00 to 14:00, 13:00 to 18:00]}\n", `2:34: the hours 10:00 to 14:00 and 13:00 to 18:00 overlap`},
		{"time zone: Europe/Berlin\nhours: {monday: [20:00 to 3:00, 22:00 to 23:00]}\n", `the hours 20:00 to 3:00 and 22:00 to 23:00 overlap`},
		{"time zone: Europe/Berlin\nhours: {monday: 20:00 to 3:00, tuesday: 2:00 to 9:00}\n", `2:17: the hours 20:00 to 3:00 go over midnight into those of the next day, 2:00 to 9:00`},
		{"time zone: Europe/Berlin\nhours: {sunday: 20:00 to 3:00, monday: 2:00 to 9:00}\n", `go over midnight into those of the next day`},
		{"time zone: Europe/Berlin\nhours: {monday: 10:00 to 10:00}\n", `2:17: the span 10:00 to 10:00 has no length (a whole day is 0:00 to 24:00)`},
		{"time zone: Europe/Berlin\nhours: {monday: 24:00 to 3:00}\n", `begins where its day ends (write 0:00 on the next day)`},
		{"time zone: Europe/Berlin\nhours: {monday: 10:00 to 24:30}\n", `"24:30": a day ends at 24:00`},
		{"time zone: Europe/Berlin\nhours: {monday: 10:00 to 17:60}\n", `"17:60" should be a time of day, as 9:30 or 18:00`},
		{"time zone: Europe/Berlin\nhours: {monday: 10am to 6pm}\n", `"10am" should be a time of day`},
		{"time zone: Europe/Berlin\nhours: {monday: 10-18}\n", `"10-18" should be a span of opening hours (as 10:00 to 18:00`},
		{"time zone: Europe/Berlin\nhours: {monday: }\n", `opening hours should stand here`},
		{"time zone: Europe/Berlin\nhours: {monday: [" + strings.Repeat("1:00 to 2:00, ", 24) + "3:00 to 4:00]}\n", `25 spans are more than the 24 of one day`},
		{"time zone: Europe/Berlin\nhours: {munday: 10:00 to 18:00}\n", `"munday" is no day of the week (did you mean "monday"?)`},
		{"time zone: Europe/Berlin\nhours: {monday to fridy: 10:00 to 18:00}\n", `did you mean "friday"?`},
		{"time zone: Europe/Berlin\nhours:\n  monday to friday: 10:00 to 18:00\n  friday: closed\n", `4:11: friday has hours twice (the first is on line 3)`},
		{"time zone: Europe/Berlin\nhours: {monday: 10:00 to 18:00, monday: closed}\n", `"monday" stands here twice`},
		{"time zone: Europe/Berlin\n", `1:1: the calendar has no opening hours at all: the place is never open`},
		{"time zone: Europe/Berlin\nhours: closed\nexceptions: [{on: 2026-12-24, hours: closed, why: x}]\n", `the place is never open`},

		{"time zone: Europe/Berln\nhours: 10:00 to 18:00\n", `1:12: there is no time zone "Europe/Berln" (did you mean "Europe/Berlin"?)`},
		{"time zone: Berlin\nhours: 10:00 to 18:00\n", `did you mean "Europe/Berlin"?`},
		{"time zone: new york\nhours: 10:00 to 18:00\n", `did you mean "America/New_York"?`},
		{"time zone: europe/berlin\nhours: 10:00 to 18:00\n", `did you mean "Europe/Berlin"?`},
		{"time zone: PST\nhours: 10:00 to 18:00\n", `write a city of the zone, as Europe/Berlin: only that says when clocks change`},
		{"time zone: UTC+1\nhours: 10:00 to 18:00\n", `only that says when clocks change`},
		{"time zone: Local\nhours: 10:00 to 18:00\n", `there is no time zone "Local"`},
		{"time zone: ../../etc/passwd\nhours: 10:00 to 18:00\n", `there is no time zone`},
		{"hours: 10:00 to 18:00\n", `"time zone" is missing here`},
		{"time zone: \nhours: 10:00 to 18:00\n", `"time zone" has no value`},

		{small("seasons: [{season: winter, from: 11-01, to: 2027-02-28, hours: closed}]"), `3:11: season winter has a year at one end only (give both a year, or neither, for every year)`},
		{small("seasons: [{season: winter, from: 2027-11-01, to: 2027-02-28, hours: closed}]"), `season winter ends on 2027-02-28, before it begins on 2027-11-01`},
		{small("seasons:", "  - {season: winter, from: 11-01, to: 02-28, hours: closed}", "  - {season: frost, from: 02-01, to: 03-15, hours: closed}"), `5:5: season frost (02-01 to 03-15) and season winter (11-01 to 02-28) share days`},
		{small("seasons:", "  - {season: winter, from: 11-01, to: 02-28, hours: closed}", "  - {season: winter, from: 06-01, to: 06-15, hours: closed}"), `5:14: two seasons are called "winter"; the first is on line 4`},
		{small("seasons: [{season: winter, from: 2026-11-31, to: 2027-02-28, hours: closed}]"), `November has 30 days`},
		{small("seasons: [{season: winter, from: 11-01, to: 02-28, hours: {sunday: [9:00 to 12:00, 11:00 to 13:00]}}]"), `the hours 9:00 to 12:00 and 11:00 to 13:00 overlap`},
		{small("seasons: [{season: winter, from: 11-01, to: 02-28}]"), `"hours" is missing here`},
		{small("seasons: [{from: 11-01, to: 02-28, hours: closed}]"), `"season" is missing here`},

		{small("start-up: {look: wram, before opening: 30 min}"), `3:18: there is no look "wram" (did you mean "warm"?)`},
		{small("close-down: {look: leafing, after closing: 30 min}"), `there is no look "leafing" (did you mean "leaving"?)`},
		{small("self-test: {at: 8:00, for: 5 min, look: each}"), `there is no look "each"`},
		{small("start-up: {look: warm}"), `"before opening" is missing here`},
		{small("start-up: {look: warm, before opening: 0 s}"), `3:11: the start-up lasts 0s, which lies outside 0 to 12h0m0s`},
		{small("start-up: {look: warm, before opening: 900 min}"), `the start-up lasts 15h0m0s, which lies outside 0 to 12h0m0s`},
		{small("close-down: {look: warm, after closing: -5 min}"), `the close-down lasts -5m0s`},
		{small("self-test: {at: 8:00, for: 5 h}"), `the self-test lasts 5h0m0s, which lies outside 0 to 4h0m0s`},
		{small("self-test: {at: 25:00, for: 5 min}"), `"25:00": a day ends at 24:00`},
		{small("self-test: {at: 11:00, for: 5 min}"), `3:12: the self-test at 11:00 meets the hours 10:00 to 18:00 (choose a time of day`},
		{small("self-test: {at: 9:40, for: 5 min}", "start-up: {look: warm, before opening: 30 min}"), `the self-test at 9:40 meets the hours 10:00 to 18:00`},
		{small("self-test: {at: 18:10, for: 5 min}", "close-down: {look: warm, after closing: 30 min}"), `the self-test at 18:10 meets the hours 10:00 to 18:00`},
		{"time zone: Europe/Berlin\nhours: {friday: 18:00 to 2:00}\nself-test: {at: 1:50, for: 5 min}\n", `the self-test at 1:50 meets the hours 18:00 to 2:00`},
		{small("self-test: {at: 11:00, for: 5 min}", "seasons: [{season: w, from: 11-01, to: 02-28, hours: 7:00 to 9:00}]"), `meets the hours 10:00 to 18:00`},
		{small("self-test: {at: 8:00, for: 5 min}", "seasons: [{season: w, from: 11-01, to: 02-28, hours: 7:00 to 9:00}]"), `3:12: the self-test at 8:00 meets the hours 7:00 to 9:00`},
		{"time zone: Europe/Berlin\nhours: {monday: [10:00 to 12:00, 12:30 to 18:00]}\nstart-up: {look: warm, before opening: 30 min}\nclose-down: {look: leaving, after closing: 10 min}\n", `note: calendar.yaml:2:34: the break before 12:30 to 18:00 has no time for the close-down look`},
		{"time zone: Europe/Berlin\nhours: {monday: [10:00 to 12:00, 12:30 to 18:00]}\nstart-up: {look: warm, before opening: 25 min}\nclose-down: {look: leaving, after closing: 10 min}\n", `note: calendar.yaml:2:34: in the break before 12:30 to 18:00 the start-up look cuts the close-down look short`},
		{small("triggers asleep outside hours: perhaps"), `"perhaps" is neither yes nor no`},
		{small("saesons: []"), `unknown key "saesons" (did you mean "seasons"?)`},
		{"", "the file is empty"},
	} {
		lines, _ := told(c.text)
		if got := strings.Join(lines, "\n"); !strings.Contains(got, c.want) {
			t.Errorf("%s\nsays\n%s\nwant\n%s", c.text, got, c.want)
		}
	}
	if lines, _ := told(small("triggers asleep outside hours: yes")); lines != nil {
		t.Errorf("a good calendar says %v", lines)
	}
}

// A hostile file is bounded, and told once.
func TestManyOfAll(t *testing.T) {
	var b strings.Builder
	b.WriteString(small("exceptions:"))
	for range 5000 {
		b.WriteString("  - {on: 2026-12-24, hours: 10:00 to 11:00, why: x}\n")
	}
	b.WriteString("seasons:\n")
	for range 3000 {
		b.WriteString("  - {season: s, from: 01-01, to: 12-31, hours: 10:00 to 11:00}\n")
	}
	lines, faults := told(b.String())
	if len(faults) > 600 || !strings.Contains(strings.Join(lines, "\n"), "3000 seasons are more than the 100 of one calendar") || !strings.Contains(strings.Join(lines, "\n"), "5000 exceptions are more than the 2000") {
		t.Errorf("%d faults: %.2000s", len(faults), strings.Join(lines, "\n"))
	}
}

// What the year that comes has in store is told where it was written, once.
func TestAhead(t *testing.T) {
	from := time.Date(2026, 11, 28, 12, 0, 0, 0, time.UTC)
	samoa, _ := Read("calendar.yaml", []byte("time zone: Pacific/Apia\nhours: 10:00 to 18:00\nself-test: {at: 8:00, for: 5 min}\n"), nil)
	if got := samoa.Ahead(time.Date(2011, 12, 1, 0, 0, 0, 0, time.UTC)); len(got) != 1 || got[0].Text != "on 2011-12-30 the clocks skip the hours 10:00 to 18:00 whole: there is no opening" {
		t.Errorf("of the day that Samoa skipped it says %v", got)
	}
	for _, c := range []struct{ text, want string }{
		{"time zone: Europe/Berlin\nhours: {saturday: 20:00 to 2:30}\n", "note: calendar.yaml:2:19: on 2027-03-28 the clocks jump from 02:00 to 03:00, so the closing at 02:30 happens at the jump\nnote: calendar.yaml:2:19: on 2027-10-31 the clocks go back and 02:30 comes twice: the closing happens the first time"},
		{"time zone: Europe/Berlin\nhours: {sunday: 2:15 to 2:45}\n", "note: calendar.yaml:2:17: on 2027-03-28 the clocks skip the hours 2:15 to 2:45 whole: there is no opening\nnote: calendar.yaml:2:17: on 2027-10-31 the clocks go back and 02:15 comes twice: the opening happens the first time\nnote: calendar.yaml:2:17: on 2027-10-31 the clocks go back and 02:45 comes twice: the closing happens the first time"},
		{small("self-test: {at: 2:00, for: 5 min}"), "note: calendar.yaml:3:12: on 2027-03-28 the clocks jump from 02:00 to 03:00, so the self-test at 02:00 happens at the jump\nnote: calendar.yaml:3:12: on 2027-10-31 the clocks go back and 02:00 comes twice: the self-test happens the first time"},
		{small("self-test: {at: 3:00, for: 5 min}"), ""}, // comes once on both days
		{small("self-test: {at: 1:59, for: 5 min}"), ""},
		{"time zone: America/Phoenix\nhours: 0:00 to 3:00\nself-test: {at: 4:00, for: 5 min}\n", ""},
		// Lord Howe changes by half an hour: tzdata, australasia.
		{"time zone: Australia/Lord_Howe\nhours: {sunday: 1:45 to 5:00}\n", "on 2027-04-04 the clocks go back and 01:45 comes twice: the opening happens the first time"},
		{"time zone: Australia/Lord_Howe\nhours: {sunday: 2:15 to 5:00}\n", "on 2027-10-03 the clocks jump from 02:00 to 02:30, so the opening at 02:15 happens at the jump"},
		// Chile changes at midnight: tzdata, southamerica.
		{"time zone: America/Santiago\nhours: {sunday: 0:30 to 5:00}\n", "the clocks jump from 00:00 to 01:00, so the opening at 00:30 happens at the jump"},
		{"time zone: Europe/Berlin\nhours: closed\nexceptions: [{on: 2026-11-01, hours: 10:00 to 12:00, why: x}]\n", "note: calendar.yaml:1:1: the place is never open in the year from 2026-11-28 on"},
		{"time zone: Europe/Berlin\nhours: closed\nexceptions: [{on: 2028-11-01, hours: 10:00 to 12:00, why: x}]\n", "never open in the year"},
		{"time zone: Europe/Berlin\nhours: 10:00 to 18:00\nseasons: [{season: works, from: 2026-11-01, to: 2028-01-10, hours: closed}]\n", "never open in the year"},
		{"time zone: Europe/Berlin\nhours: 10:00 to 18:00\nseasons: [{season: works, from: 2026-11-01, to: 2027-11-10, hours: closed}]\n", ""},
		{"time zone: Europe/Berlin\nhours: closed\nexceptions: [{on: 2027-11-01, hours: 10:00 to 12:00, why: x}]\n", ""},
	} {
		cal, faults := Read("calendar.yaml", []byte(c.text), nil)
		if faults.Err() != nil {
			t.Fatal(faults)
		}
		var lines []string
		for _, f := range cal.Ahead(from) {
			mark := ""
			if f.Mild {
				mark = "note: "
			}
			lines = append(lines, mark+f.Error())
		}
		if got := strings.Join(lines, "\n"); c.want == "" && got != "" || !strings.Contains(got, c.want) {
			t.Errorf("%s\nsays\n%s\nwant\n%s", c.text, got, c.want)
		}
	}
}

func FuzzRead(f *testing.F) {
	f.Add([]byte(small("start-up: {look: warm, before opening: 30 min}", "self-test: {at: 2:30, for: 5 min}")))
	f.Add([]byte("time zone: Pacific/Apia\nhours: {friday to monday: [10:00 to 14:00, 22:00 to 3:00]}\nexceptions: [{on: 12-24, hours: closed, why: x}]\nseasons: [{season: s, from: 11-01, to: 02-29, hours: {every day: 0:00 to 24:00}}]\n"))
	f.Fuzz(func(t *testing.T, data []byte) {
		c, _ := Read("calendar.yaml", data, nil)
		at := time.Date(2026, 3, 28, 0, 0, 0, 0, time.UTC)
		c.Ahead(at)
		for range 20 {
			e, ok := c.Next(at)
			if !ok {
				return
			}
			if !e.At.After(at) || c.At(e.At) != e.State {
				t.Fatalf("after %v comes %+v, and then it is %+v", at, e, c.At(e.At))
			}
			at = e.At
		}
	})
}
