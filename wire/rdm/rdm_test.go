package rdm_test

import (
	"bytes"
	"math"
	"reflect"
	"strings"
	"testing"

	"lampblack/wire/outside"
	"lampblack/wire/rdm"

	"pgregory.net/rapid"
)

// The worked example of ANSI E1.20, clause 6.3 (from memory): a controller CBA9:87654321
// asks 1234:56789ABC for its status messages that are errors; the checksum is 0x066A.
func TestWorkedExample(t *testing.T) {
	want := outside.Hex(t, "cc 01 19 12 34 56 78 9a bc cb a9 87 65 43 21 00 01 00 00 00 20 00 30 01 04 06 6a")
	p := rdm.Packet{To: rdm.UID{0x12, 0x34, 0x56, 0x78, 0x9A, 0xBC}, From: rdm.UID{0xCB, 0xA9, 0x87, 0x65, 0x43, 0x21},
		Port: 1, Class: rdm.Get, PID: rdm.StatusMessages, Data: []byte{byte(rdm.GradeError)}}
	if got := p.Append(nil); !bytes.Equal(got, want) {
		t.Errorf("got  % x\nwant % x", got, want)
	}
	if got, err := rdm.Parse(want); err != nil || !reflect.DeepEqual(got, p) {
		t.Errorf("got %+v, %v", got, err)
	}
}

// A discovery reply made by hand: each octet v of the UID as v|AA, v|55; the twelve add up
// to 0x06E5 (reckoned by hand), written the same way.
func TestDiscoveryReply(t *testing.T) {
	uid := rdm.UID{0x7A, 0x70, 0x00, 0x00, 0x00, 0x01}
	code := []byte{0xFA, 0x7F, 0xFA, 0x75, 0xAA, 0x55, 0xAA, 0x55, 0xAA, 0x55, 0xAB, 0x55}
	total := 0
	for _, c := range code {
		total += int(c)
	}
	if total != 0x6E5 {
		t.Fatalf("the octets add up to %#x", total)
	}
	want := append(append(bytes.Repeat([]byte{0xFE}, 7), 0xAA), code...)
	want = append(want, 0xAE, 0x57, 0xEF, 0xF5)
	if got := rdm.AppendDiscoveryReply(nil, uid); !bytes.Equal(got, want) {
		t.Errorf("got  % x\nwant % x", got, want)
	}
	for eaten := range 8 { // splitters eat of the preamble
		if got, err := rdm.ParseDiscoveryReply(append(bytes.Clone(want[eaten:]), 0)); err != nil || got != uid {
			t.Errorf("%d eaten: got %v, %v", eaten, got, err)
		}
	}
	other := rdm.AppendDiscoveryReply(nil, rdm.UID{0x7A, 0x70, 0, 0, 0x10, 7})
	both := make([]byte, len(want))
	for i := range both {
		both[i] = want[i] | other[i]
	}
	for name, b := range map[string][]byte{"two at once": both, "nothing": nil, "noise": {1, 2, 3}, "cut": want[:20], "eight of preamble": append([]byte{0xFE}, want...)} {
		if got, err := rdm.ParseDiscoveryReply(b); err == nil {
			t.Errorf("%s: got %v, want an error", name, got)
		}
	}
}

func TestParseRefuses(t *testing.T) {
	good := (&rdm.Packet{Port: 1, Class: rdm.Get, PID: rdm.DeviceHours, Data: []byte{1, 2}}).Append(nil)
	for says, spoil := range map[string]func(b []byte) []byte{
		"length: got 25 octets":        func(b []byte) []byte { return b[:25] },
		"START code: got 0x00":         func(b []byte) []byte { b[0] = 0; return b },
		"sub START code: got 0x02":     func(b []byte) []byte { b[1] = 2; return b },
		"message length: got 25":       func(b []byte) []byte { b[2]--; return b },
		"length of data: got 3":        func(b []byte) []byte { b[23]++; return b },
		"checksum: got":                func(b []byte) []byte { b[24]++; return b },
		"message length: got 26 in 29": func(b []byte) []byte { return append(b, 0) },
	} {
		if _, err := rdm.Parse(spoil(bytes.Clone(good))); err == nil || !strings.Contains(err.Error(), says) {
			t.Errorf("got %v, want %q", err, says)
		}
	}
}

func TestUID(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.Uint64Max(1<<48-1).Draw(t, "number")
		u := rdm.UIDOf(n)
		text, _ := u.MarshalText()
		var back rdm.UID
		if err := back.UnmarshalText(text); err != nil || back != u || u.Number() != n {
			t.Fatalf("%v becomes %v, %v", u, back, err)
		}
	})
	if s := (rdm.UID{0x7A, 0x70, 0, 0, 1, 2}).String(); s != "7a70:00000102" {
		t.Errorf("got %s", s)
	}
	var u rdm.UID
	for _, bad := range []string{"", "7a70", "7a70:102", "7a7000000102", "7a70:0000010g", "+a70:00000102"} {
		if u.UnmarshalText([]byte(bad)) == nil {
			t.Errorf("%q is taken", bad)
		}
	}
}

// Offsets, table, and the two's complement of clause 10.7 (from memory).
func TestData(t *testing.T) {
	info, err := rdm.ParseInfo(outside.Hex(t, "01 00 12 34 01 01 00 00 02 01 00 07 02 04 00 11 00 00 03"))
	if want := (rdm.Info{0x0100, 0x1234, 0x0101, 0x0201, 7, 2, 4, 17, 0, 3}); err != nil || info != want {
		t.Errorf("got %+v, %v", info, err)
	}
	mode, err := rdm.ParseMode(append([]byte{2, 0, 7}, "7 slots\x00"...))
	if want := (rdm.Mode{2, 7, "7 slots"}); err != nil || mode != want {
		t.Errorf("got %+v, %v", mode, err)
	}
	sensor, err := rdm.ParseSensor(append(outside.Hex(t, "01 00 01 01 ff 38 03 e8 80 00 02 bc 03"), "LED plate"...))
	want := rdm.Sensor{Number: 1, Type: rdm.Temperature, Unit: 1, Prefix: 1, Range: [2]int16{-200, 1000}, Normal: [2]int16{math.MinInt16, 700}, Recording: 3, Name: "LED plate"}
	if err != nil || sensor != want {
		t.Errorf("got %+v, %v", sensor, err)
	}
	if least, most := sensor.Knows(); least || !most {
		t.Errorf("knows %v, %v", least, most)
	}
	if sensor.Value(615) != 61.5 || sensor.Symbol() != "°C" {
		t.Errorf("got %v %s", sensor.Value(615), sensor.Symbol())
	}
	for prefix, want := range map[byte]float64{0: 2, 1: .2, 2: .02, 3: .002, 4: .000002, 0x11: 20, 0x12: 200, 0x13: 2000, 0x14: 2e6, 0x7F: 2} {
		s := rdm.Sensor{Prefix: prefix}
		if got := s.Value(2); math.Abs(got/want-1) > 1e-12 {
			t.Errorf("prefix %#x: got %v, want %v", prefix, got, want)
		}
	}
	reading, err := rdm.ParseReading(outside.Hex(t, "01 02 67 ff ff 03 00 00 00"))
	if want := (rdm.Reading{1, 615, -1, 768, 0}); err != nil || reading != want {
		t.Errorf("got %+v, %v", reading, err)
	}
	list, err := rdm.ParseStatus(outside.Hex(t, "00 00 04 00 21 00 01 00 5c  00 00 12 90 00 00 01 ff ff"))
	if err != nil || len(list) != 2 || list[0].Grade != rdm.GradeError || !list[1].Grade.Cleared() {
		t.Fatalf("got %+v, %v", list, err)
	}
	if a, b := list[0].String(), list[1].String(); a != "too hot: sensor 1 at 92 °C" || b != "message 0x9000 of its maker, 1, -1" {
		t.Errorf("got %q, %q", a, b)
	}
	if n, err := rdm.Count(rdm.LampHours, []byte{0, 1, 0, 2}); err != nil || n != 65538 {
		t.Errorf("got %d, %v", n, err)
	}
	if rdm.Text([]byte(" par \x01\xff\x00 rest")) != "par \uFFFD\uFFFD" {
		t.Errorf("got %q", rdm.Text([]byte(" par \x01\xff\x00 rest")))
	}
	if rdm.Reason(4).String() == rdm.Reason(99).String() || rdm.DeviceHours.String() != "DEVICE_HOURS" {
		t.Error("names")
	}
}

func FuzzRDM(f *testing.F) {
	f.Add((&rdm.Packet{Port: 1, Class: rdm.Get, PID: rdm.DeviceHours, Data: []byte{1, 2}}).Append(nil))
	f.Add(rdm.AppendDiscoveryReply(nil, rdm.UID{1, 2, 3, 4, 5, 6}))
	f.Fuzz(func(t *testing.T, b []byte) {
		if p, err := rdm.Parse(b); err == nil && !bytes.Equal(p.Append(nil), b) {
			t.Errorf("% x becomes % x", b, p.Append(nil))
		}
		if u, err := rdm.ParseDiscoveryReply(b); err == nil && !bytes.Contains(append(bytes.Repeat([]byte{0xFE}, 7), b...), rdm.AppendDiscoveryReply(nil, u)) {
			t.Errorf("% x read as %v", b, u)
		}
		if i, err := rdm.ParseInfo(b); err == nil && !bytes.Equal(i.Append(nil), b) {
			t.Errorf("% x becomes % x", b, i.Append(nil))
		}
		rdm.ParseMode(b)
		rdm.ParseSensor(b)
		rdm.ParseReading(b)
		rdm.PIDs(b)
		if list, err := rdm.ParseStatus(b); err == nil {
			for i := range list {
				_ = list[i].String()
			}
		}
	})
}
