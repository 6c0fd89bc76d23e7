package main

import (
	"context"
	"strings"
	"testing"
	"time"

	"lampblack/doors"
	"lampblack/play/lamps"
	"lampblack/wire/rdm"
)

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
