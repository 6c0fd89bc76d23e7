package dmx_test

import (
	"bytes"
	"math"
	"reflect"
	"strings"
	"testing"
	"time"

	"lampblack/wire/dmx"

	"pgregory.net/rapid"
)

// The arithmetic of ANSI E1.11 as others print it: 22.676 ms and 44.1 packets
// a second for 512 slots, 830.6 a second for 24.
func TestPacketTimes(t *testing.T) {
	for _, c := range []struct {
		slots int
		time  time.Duration
		rate  float64
	}{
		{512, 22676 * time.Microsecond, 44.099},
		{128, 5780 * time.Microsecond, 173.0},
		{24, 1204 * time.Microsecond, 830.56},
	} {
		got := dmx.Time(dmx.MinBreak, dmx.MinMark, c.slots)
		if rate := 1 / got.Seconds(); got != c.time || math.Abs(rate-c.rate) > .05 {
			t.Errorf("%d slots: %v, %.3f a second, want %v, %.3f", c.slots, got, rate, c.time, c.rate)
		}
	}
}

func TestCheck(t *testing.T) {
	good := func() dmx.Packet {
		return dmx.Packet{Break: dmx.MinBreak, Mark: dmx.MinMark, Slots: make([]byte, 24)}
	}
	p := good()
	if err := p.Check(); err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		says  string
		spoil func(*dmx.Packet)
	}{
		{"slots: got 513", func(p *dmx.Packet) { p.Slots = make([]byte, 513) }},
		{"break: got 91µs", func(p *dmx.Packet) { p.Break = 91 * time.Microsecond }},
		{"mark after break: got 11µs", func(p *dmx.Packet) { p.Mark = 11 * time.Microsecond }},
		{"mark after break: got 1s", func(p *dmx.Packet) { p.Mark = time.Second }},
		{"idle time", func(p *dmx.Packet) { p.Idle = -1 }},
		{"break to break: got 1.16ms", func(p *dmx.Packet) { p.Slots = p.Slots[:23] }},
	} {
		p := good()
		c.spoil(&p)
		if err := p.Check(); err == nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("error %v, want %q in it", err, c.says)
		}
	}
	short := dmx.Packet{Break: dmx.MinBreak, Mark: dmx.MinMark, Slots: make([]byte, 3)}
	if short.Idle = short.Fill(); short.Check() != nil {
		t.Errorf("filled up: %v", short.Check())
	}
}

// Slot 0x01: start bit low, then high for the first bit alone, then low for
// seven bits, then two stop bits.
func TestLineOfOneSlot(t *testing.T) {
	us := time.Microsecond
	p := dmx.Packet{Break: 92 * us, Mark: 12 * us, Start: 0x01, Idle: 1100 * us}
	want := []dmx.Level{{false, 92 * us}, {true, 12 * us}, {false, 4 * us}, {true, 4 * us}, {false, 28 * us}, {true, 1108 * us}}
	if got := p.Line(); !reflect.DeepEqual(got, want) {
		t.Errorf("got %v, want %v", got, want)
	}
}

func TestLineRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		us := func(name string, from, to int) time.Duration {
			return time.Duration(rapid.IntRange(from, to).Draw(t, name)) * time.Microsecond
		}
		p := dmx.Packet{Break: us("break", 92, 400), Mark: us("mark", 12, 200), Start: rapid.Byte().Draw(t, "start"),
			Slots: rapid.SliceOfN(rapid.Byte(), 0, 512).Draw(t, "slots")}
		p.Idle = p.Fill() + us("idle", 0, 1000)
		got, err := dmx.ParseLine(p.Line())
		if err != nil || !bytes.Equal(got.Slots, p.Slots) {
			t.Fatalf("got %+v, %v", got, err)
		}
		got.Slots, p.Slots = nil, nil
		if !reflect.DeepEqual(got, p) {
			t.Fatalf("got %+v, want %+v", got, p)
		}
	})
}

func TestParseLineRefuses(t *testing.T) {
	us := time.Microsecond
	for _, c := range []struct {
		line []dmx.Level
		says string
	}{
		{nil, "want a break"},
		{[]dmx.Level{{true, us}, {false, us}}, "want a break"},
		{[]dmx.Level{{false, 100 * us}, {true, 12 * us}}, "no START code"},
		{[]dmx.Level{{false, 100 * us}, {true, 12 * us}, {true, us}}, "in turn"},
		{[]dmx.Level{{false, 100 * us}, {true, 12 * us}, {false, 6 * us}, {true, 900 * us}}, "edge inside a bit"},
		{[]dmx.Level{{false, 100 * us}, {true, 12 * us}, {false, 44 * us}, {true, 900 * us}}, "stop bit: got low"},
		{[]dmx.Level{{false, 80 * us}, {true, 12 * us}, {false, 4 * us}, {true, 1200 * us}}, "break: got 80µs"},
	} {
		if _, err := dmx.ParseLine(c.line); err == nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%v: error %v, want %q in it", c.line, err, c.says)
		}
	}
}

// Start octet, label 6, length 25 little-endian, START code, slots filled up
// to 24, end octet.
func TestWidgetSend(t *testing.T) {
	got := dmx.AppendSend(nil, []byte{255, 128})
	want := append([]byte{0x7E, 6, 25, 0, 0, 255, 128}, append(make([]byte, 22), 0xE7)...)
	if !bytes.Equal(got, want) {
		t.Errorf("got % x, want % x", got, want)
	}
	full := dmx.AppendSend(nil, make([]byte, 512))
	if full[2] != 0x01 || full[3] != 0x02 || len(full) != 518 {
		t.Errorf("full universe: length % x, %d octets", full[2:4], len(full))
	}
}

func TestScannerFindsItsWay(t *testing.T) {
	a, b := dmx.Message{Label: 3, Data: []byte{0x7E, 0xE7}}, dmx.Message{Label: 10}
	stream := append([]byte{1, 2, 0x7E, 0x03, 0xFF, 0xFF, 0x7E}, a.Append(nil)...)
	stream = b.Append(append(stream, 9, 0x7E))
	var s dmx.Scanner
	var got []byte
	for _, c := range stream {
		s.Feed([]byte{c}, func(m dmx.Message) { got = append(got, m.Label) })
	}
	// The start octets of the noise swallow nothing that follows.
	s.Feed(bytes.Repeat([]byte{0}, 2000), func(m dmx.Message) { got = append(got, m.Label) })
	if !bytes.Equal(got, []byte{3, 10}) {
		t.Errorf("labels %v, want 3 and 10", got)
	}
}

func FuzzWidget(f *testing.F) {
	f.Add(dmx.AppendSend(nil, []byte{1, 2, 3}))
	f.Add([]byte{0x7E, 3, 0, 0, 0xE7, 0x7E})
	f.Fuzz(func(t *testing.T, b []byte) {
		if m, err := dmx.ParseMessage(b); err == nil && !bytes.Equal(m.Append(nil), b) {
			t.Errorf("% x encodes to % x", b, m.Append(nil))
		}
		var whole, cut dmx.Scanner
		var one, two [][]byte
		whole.Feed(b, func(m dmx.Message) { one = append(one, m.Append(nil)) })
		for i := range b {
			cut.Feed(b[i:i+1], func(m dmx.Message) { two = append(two, m.Append(nil)) })
		}
		if !reflect.DeepEqual(one, two) {
			t.Errorf("% x: %d messages whole, %d byte by byte", b, len(one), len(two))
		}
	})
}

func FuzzLine(f *testing.F) {
	f.Add([]byte{92, 12, 4, 4, 28, 255})
	f.Fuzz(func(t *testing.T, b []byte) {
		line := make([]dmx.Level, len(b))
		for i, v := range b {
			line[i] = dmx.Level{High: i%2 == 1, Time: time.Duration(v) * time.Microsecond}
			if i == len(b)-1 {
				line[i].Time *= 8
			}
		}
		p, err := dmx.ParseLine(line)
		if err == nil && !reflect.DeepEqual(p.Line(), line) {
			t.Errorf("%v gives %v", line, p.Line())
		}
	})
}
