package lamps

import (
	"encoding/json"
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"lampblack/rig"
	"lampblack/wire/rdm"
)

// hall is a rig of built-in lamps.
func hall(t *testing.T, units string) *rig.Rig {
	t.Helper()
	r, faults := rig.Read("rig.yaml", []byte("units:\n"+units), nil)
	if faults.Err() != nil {
		t.Fatal(faults)
	}
	return r
}

// says is a device in a word: "2.17/3" is universe 2, address 17, three slots.
func says(t *testing.T, n int, text string, change ...func(*Device)) Device {
	t.Helper()
	d := Device{UID: rdm.UIDOf(0x7FF0<<32 | uint64(n)), Mode: 1}
	if _, err := fmt.Sscanf(text, "%d.%d/%d", &d.Universe, &d.Address, &d.Footprint); err != nil {
		t.Fatal(err)
	}
	for _, c := range change {
		c(&d)
	}
	return d
}

func called(label string) func(*Device) { return func(d *Device) { d.Label = label } }

// found writes rows as "unit=number: differences".
func found(rows []Row) string {
	var out []string
	for _, r := range rows {
		text := r.Unit + "="
		if r.Device != nil {
			text += fmt.Sprint(r.Device.UID.Number() & 0xFF)
		}
		var ids []string
		for _, d := range r.Differs {
			ids = append(ids, d.ID)
			if d.Text == "" || d.Do == "" {
				text += "!"
			}
		}
		out = append(out, strings.TrimSuffix(text+": "+strings.Join(ids, ", "), ": "))
	}
	return strings.Join(out, "\n")
}

func TestCompare(t *testing.T) {
	three := "  - {unit: par 1, type: colour par, address: 1}\n  - {unit: par 2, type: colour par, address: 4}\n  - {unit: par 3, type: colour par, universe: 2, address: 1}\n"
	both := []int{1, 2}
	for _, c := range []struct {
		name    string
		units   string
		asked   []int
		devices []Device
		want    string
	}{
		{"all as it is to be", three, both, []Device{says(t, 3, "2.1/3"), says(t, 2, "1.4/3"), says(t, 1, "1.1/3")}, "par 1=1\npar 2=2\npar 3=3"},
		{"nobody answers", three, both, nil, "par 1=: does not answer\npar 2=: does not answer\npar 3=: does not answer"},
		{"one line was not asked", three, []int{1}, nil, "par 1=: does not answer\npar 2=: does not answer"},
		{"another address, known by its label", three, []int{1}, []Device{says(t, 1, "1.1/3"), says(t, 2, "1.100/3", called(" PAR2"))}, "par 1=1\npar 2=2: address"},
		{"another universe, known by its label", three, both, []Device{says(t, 3, "1.100/3", called("par 3"))}, "par 1=: does not answer\npar 2=: does not answer\npar 3=3: universe, address"},
		{"another mode", three, []int{1}, []Device{says(t, 1, "1.1/3"), says(t, 2, "1.4/7")}, "par 1=1\npar 2=2: mode"},
		{"two at one address", three, []int{1}, []Device{says(t, 1, "1.1/3"), says(t, 2, "1.4/3"), says(t, 9, "1.4/3")}, "par 1=1\npar 2=2: shared slots\n=9: in no rig, shared slots"},
		{"one reaches into the next", three, []int{1}, []Device{says(t, 1, "1.1/4"), says(t, 2, "1.4/3")}, "par 1=1: mode, shared slots\npar 2=2: shared slots"},
		{"one ends just before the next", three, []int{1}, []Device{says(t, 1, "1.1/3"), says(t, 2, "1.4/3"), says(t, 9, "1.7/3")}, "par 1=1\npar 2=2\n=9: in no rig"},
		{"same slots on two lines", three, both, []Device{says(t, 1, "1.1/3"), says(t, 2, "1.4/3"), says(t, 3, "2.1/3"), says(t, 4, "2.500/13"), says(t, 5, "2.490/10")}, "par 1=1\npar 2=2\npar 3=3\n=4: in no rig\n=5: in no rig"},
		{"beyond the last slot", three, []int{1}, []Device{says(t, 9, "1.510/4")}, "par 1=: does not answer\npar 2=: does not answer\n=9: in no rig, shared slots"},
		{"two that the rig wants at one address", "  - {unit: a, type: colour par, address: 1}\n  - {unit: b, type: colour par, address: 1}\n", []int{1},
			[]Device{says(t, 1, "1.1/3"), says(t, 2, "1.1/3")}, "a=1\nb=2"},
		{"labels that are changed about", three, []int{1}, []Device{says(t, 1, "1.1/3", called("par 2")), says(t, 2, "1.4/3", called("par 1"))}, "par 1=1: label\npar 2=2: label"},
		{"a splitter with no slots", three, []int{1}, []Device{says(t, 1, "1.1/3"), says(t, 2, "1.4/3"), says(t, 9, "1.0/0")}, "par 1=1\npar 2=2\n=9: in no rig"},
		{"unwell", three, []int{1}, []Device{says(t, 1, "1.1/3", func(d *Device) {
			most := 70.
			d.Sensors = []Sensor{{Name: "plate", Temperature: true, Value: 81, Most: &most}, {Value: 3}}
			d.Messages = []Message{{"note", "ready"}, {"error", "too hot"}}
			d.Missing = []string{"LAMP_HOURS: no answer"}
		}), says(t, 2, "1.4/3")}, "par 1=1: out of its range, says it is unwell, did not say\npar 2=2"},
	} {
		if got := found(Compare(hall(t, c.units), c.asked, c.devices)); got != c.want {
			t.Errorf("%s:\n%s\nwant\n%s", c.name, got, c.want)
		}
	}
}

// Of several modes of the right size the one of the rig's name is taken; none is guessed.
func TestWanted(t *testing.T) {
	r := hall(t, "  - {unit: par 1, type: colour par, address: 1}\n")
	u := r.Units[0]
	u.ModeName.Name = "three slots"
	modes := func(m ...Mode) func(*Device) { return func(d *Device) { d.Modes = m } }
	for _, c := range []struct {
		device Device
		want   Wanted
		fails  bool
	}{
		{device: says(t, 1, "1.1/3")},
		{device: says(t, 1, "1.9/3"), want: Wanted{Address: 1}},
		{device: says(t, 1, "1.1/7", modes(Mode{1, 7, "a"}, Mode{2, 3, "b"})), want: Wanted{Mode: Mode{2, 3, "b"}}},
		{device: says(t, 1, "1.9/7", modes(Mode{1, 3, "b"}, Mode{2, 3, "THREE slots"})), want: Wanted{1, Mode{2, 3, "THREE slots"}}},
		{device: says(t, 1, "1.9/7", modes(Mode{1, 3, "b"}, Mode{2, 3, "c"})), fails: true},
		{device: says(t, 1, "1.9/7"), fails: true},
	} {
		row := Row{Unit: "par 1", Device: &c.device, unit: &u}
		got, err := row.Wanted()
		if (err != nil) != c.fails || !c.fails && got != c.want {
			t.Errorf("%+v: got %+v, %v", c.device, got, err)
		}
	}
}

func TestSince(t *testing.T) {
	hours := func(h uint32) Device { return Device{UID: rdm.UIDOf(7), Hours: &h} }
	now := time.Date(2026, 11, 28, 19, 0, 0, 0, time.UTC)
	var k Kept
	if _, _, ok := k.Since(new(hours(5)), now); ok {
		t.Error("since nothing")
	}
	for _, r := range []struct {
		before time.Duration
		hours  uint32
	}{{14 * 24 * time.Hour, 1159}, {7 * 24 * time.Hour, 1200}, {time.Hour, 1241}} {
		k.Add(Reading{Time: now.Add(-r.before), Rows: []Row{{Unit: "silent"}, {Device: new(hours(r.hours))}}})
	}
	got, when, ok := k.Since(new(hours(1242)), now)
	if !ok || got != 42 || !when.Equal(now.Add(-7*24*time.Hour)) {
		t.Errorf("got %d h since %v, %v", got, when, ok)
	}
	if _, _, ok := k.Since(new(hours(3)), now); ok {
		t.Error("a count that went back is compared")
	}
	if _, _, ok := k.Since(&Device{UID: rdm.UIDOf(8)}, now); ok {
		t.Error("one without a count is compared")
	}
	for range 100 {
		k.Add(Reading{Time: now})
	}
	text, err := json.Marshal(k)
	back, err2 := ParseKept(text)
	if err != nil || err2 != nil || len(back.Readings) != 40 || !slices.EqualFunc(back.Readings, k.Readings, func(a, b Reading) bool { return a.Time.Equal(b.Time) }) {
		t.Errorf("%d readings are kept: %v, %v", len(back.Readings), err, err2)
	}
	if _, err := ParseKept([]byte("{")); err == nil {
		t.Error("half a file is read")
	}
}
