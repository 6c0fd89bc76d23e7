package main

import (
	"bytes"
	"context"
	"strings"
	"testing"
	"time"

	"lampblack/doors"
	"lampblack/play/lamps"
	"lampblack/wire/rdm"
)

// However long names are, the table fits into 80 columns, and what stands below it wraps; hours
// since last time are told.
func TestLampTableFits(t *testing.T) {
	long := strings.Repeat("long name ", 9)
	hours, before := uint32(123456), uint32(123415)
	d := lamps.Device{UID: rdm.UIDOf(9), Universe: 63999, Address: 512, Footprint: 512, Mode: 1, Model: long, Label: long, Hours: &hours,
		Modes: []lamps.Mode{{Number: 1, Footprint: 512, Name: long}}, Sensors: []lamps.Sensor{{Temperature: true, Value: -123.45, Unit: "°C"}}}
	was := d
	was.Hours = &before
	now := time.Date(2026, 11, 28, 18, 0, 0, 0, time.UTC)
	kept := lamps.Kept{Readings: []lamps.Reading{{Time: now.Add(-7 * 24 * time.Hour), Rows: []lamps.Row{{Device: &was}}}}}
	var b bytes.Buffer
	writeLamps(&b, []lamps.Row{{Unit: long, Device: &d}, {Unit: long + "2"}, {Device: &d, Differs: []lamps.Difference{{Text: long + long, Do: long}}}}, &kept, now)
	for i, line := range strings.Split(b.String(), "\n") {
		most := 80
		if strings.HasPrefix(line, " ") {
			most = width(&b)
		}
		if n := len([]rune(line)); n > most {
			t.Errorf("line %d has %d columns:\n%s", i+1, n, line)
		}
	}
	if !strings.Contains(b.String(), "41 h more than on 21 November 2026") {
		t.Errorf("no hours since last time:\n%s", b.String())
	}
}

// What lamps said counts for the night in which they said it; that some do not answer is no
// fault, anything that differs is one.
func TestLampsSaid(t *testing.T) {
	t.Setenv("LAMPBLACK_STATE", t.TempDir())
	dir := t.TempDir()
	now := time.Date(2026, 11, 28, 18, 0, 0, 0, time.Local)
	if lampsSaid(dir, now) != nil {
		t.Error("nobody asked, and they said something")
	}
	lamp := lamps.Device{UID: rdm.UIDOf(9)}
	row := func(differs ...string) lamps.Row {
		r := lamps.Row{Unit: "par 1", Device: &lamp}
		for _, d := range differs {
			r.Differs = append(r.Differs, lamps.Difference{Text: d})
		}
		return r
	}
	silent := lamps.Row{Unit: "par 9", Differs: []lamps.Difference{{ID: lamps.Silent, Text: "does not answer"}}}
	keep := func(at time.Time, rows ...lamps.Row) {
		var k lamps.Kept
		k.Add(lamps.Reading{Time: at, Rows: rows})
		if err := keepLamps(context.Background(), dir, &k); err != nil {
			t.Fatal(err)
		}
	}
	keep(now.Add(-24*time.Hour), row())
	if lampsSaid(dir, now) != nil {
		t.Error("what they said yesterday counts")
	}
	keep(now.Add(-20*time.Minute), row(), silent)
	if lampsSaid(dir, now) == nil {
		t.Error("what they said tonight does not count")
	}
	for _, c := range []struct {
		rows  []lamps.Row
		state doors.State
		says  string
	}{
		{[]lamps.Row{row(), silent}, doors.Good, "1 of them, asked at 17:40"},
		{[]lamps.Row{row("hot"), silent}, doors.NotGood, "asked at 17:40: par 1: hot"},
		{[]lamps.Row{{Device: &lamp, Differs: []lamps.Difference{{Text: "in no rig"}}}}, doors.NotGood, "a lamp in no rig, 0000:00000009: in no rig"},
		{[]lamps.Row{row("a", "b", "c", "d", "e")}, doors.NotGood, "par 1: c; 2 more"},
	} {
		keep(now.Add(-20*time.Minute), c.rows...)
		a := judgeSaid(lastSaid(dir, now))
		if a.State != c.state || !strings.Contains(a.Found, c.says) || a.Cure == "" {
			t.Errorf("got %+v, want %s, %q", a, c.state, c.says)
		}
	}
}
