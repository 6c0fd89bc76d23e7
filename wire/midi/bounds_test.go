package midi_test

import (
	"bytes"
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"lampblack/wire/midi"
	"lampblack/wire/outside"
)

// Channel messages of MIDI 1.0, table 1, with values at both ends; values past
// them are a mistake of the program.
func TestChannelMessages(t *testing.T) {
	for _, c := range []struct {
		got  []byte
		want string
	}{
		{midi.NoteOn(0, 60, 100), "90 3c 64"}, {midi.NoteOn(15, 127, 127), "9f 7f 7f"}, {midi.NoteOff(9, 0), "89 00 00"},
		{midi.Program(2, 127), "c2 7f"}, {midi.Control(1, 7, 0), "b1 07 00"},
	} {
		if got := fmt.Sprintf("% x", c.got); got != c.want {
			t.Errorf("got %s, want %s", got, c.want)
		}
	}
	for want, f := range map[string]func(){
		"midi: channel 16, want 0 to 15":                                      func() { midi.NoteOn(16, 0, 0) },
		"midi: data byte 128, want 0 to 127":                                  func() { midi.Control(0, 0, 128) },
		"midi: quarter frame piece 8 nibble 0, want at most 7 and 15":         func() { midi.QuarterFrame{Piece: 8}.Append(nil) },
		"midi: quarter frame piece 7 nibble 16, want at most 7 and 15":        func() { midi.QuarterFrame{Piece: 7, Nibble: 16}.Append(nil) },
		"midi: tempo 0 us, want 1 to 16777215":                                func() { midi.Tempo(0) },
		"midi: tempo 16777216 us, want 1 to 16777215":                         func() { midi.Tempo(0x1000000) },
		"midi: full frame: device 0x80, rate code 0: want at most 0x7f and 3": func() { midi.FullFrame{Device: 0x80}.Append(nil) },
		"midi: show control: command: got 0x00, want 0x01 to 0x0b":            func() { (&midi.ShowControl{Format: 1}).Append(nil) },
	} {
		func() {
			defer func() {
				if got := recover(); got != want {
					t.Errorf("panics with %v, want %s", got, want)
				}
			}()
			f()
		}()
	}
	if got := fmt.Sprintf("% x, % x", midi.Tempo(1), midi.Tempo(0xFFFFFF)); got != "ff 51 00 00 01, ff 51 ff ff ff" {
		t.Errorf("tempos %s", got)
	}
}

// Standard MIDI Files 1.0, "Meta-Events": the types of texts.
func TestMetaEvents(t *testing.T) {
	for want, got := range map[string][]byte{"ff 01 61": midi.Text("a"), "ff 03 61": midi.TrackName("a"), "ff 06 61": midi.Marker("a"), "ff 07 61": midi.CuePoint("a")} {
		if fmt.Sprintf("% x", got) != want {
			t.Errorf("got % x, want %s", got, want)
		}
	}
}

// How many data bytes follow each status (MIDI 1.0, tables 1 to 3): -1 for
// statuses that are undefined, or of messages without a fixed length.
func TestLengthOfEveryStatus(t *testing.T) {
	system := [16]int{-1, 1, 2, 1, -1, -1, 0, -1, 0, -1, 0, 0, 0, -1, 0, 0}
	for status := 0x80; status <= 0xFF; status++ {
		want := 2
		switch status >> 4 {
		case 0xC, 0xD:
			want = 1
		case 0xF:
			want = system[status&0xF]
		}
		var s midi.Stream
		var got [][]byte
		// As many data bytes as any message has, and one more.
		for _, c := range []byte{byte(status), 1, 2, 3} {
			s.Feed([]byte{c}, func(m []byte) { got = append(got, bytes.Clone(m)) })
			if len(got) > 0 {
				break
			}
		}
		switch {
		case want < 0 && len(got) > 0:
			t.Errorf("%#x gives % x", status, got[0])
		case want >= 0 && (len(got) != 1 || len(got[0]) != want+1 || got[0][0] != byte(status)):
			t.Errorf("%#x gives %v, want %d data bytes", status, got, want)
		}
	}
}

// A system exclusive message of just as many bytes as a stream keeps comes out
// whole, one of one byte more does not, and neither hurts what follows.
func TestLongestSysEx(t *testing.T) {
	for n, want := range map[int]int{midi.SysExLimit: midi.SysExLimit, midi.SysExLimit + 1: 0} {
		var s midi.Stream
		lengths := map[byte]int{}
		b := append([]byte{0xF0}, bytes.Repeat([]byte{1}, n-2)...)
		s.Feed(append(b, 0xF7, 0xF0, 2, 0xF7, 0xC0, 5), func(m []byte) { lengths[m[0]] = max(lengths[m[0]], len(m)) })
		if want = max(want, 3); lengths[0xF0] != want || lengths[0xC0] != 2 {
			t.Errorf("of %d bytes: %v, want %d", n, lengths, want)
		}
	}
}

// The times that MIDI time code has, and none past them, at each of its rates:
// 24, 25, 30 drop and 30 (MTC specification, "Full Message").
func TestFullFrameBounds(t *testing.T) {
	for rate, frames := range []byte{24, 25, 30, 30} {
		last := midi.FullFrame{Rate: byte(rate), Hours: 23, Minutes: 59, Seconds: 59, Frame: frames - 1}
		good := last.Append(nil)
		if got, err := midi.ParseFullFrame(good); err != nil || got != last {
			t.Errorf("rate %d: %+v, %v", rate, got, err)
		}
		for at, value := range map[int]byte{2: 0x80, 5: byte(rate)<<5 | 24, 6: 60, 7: 60, 8: frames} {
			b := bytes.Clone(good)
			b[at] = value
			if got, err := midi.ParseFullFrame(b); err == nil {
				t.Errorf("rate %d: byte %d as %d reads %+v", rate, at, value, got)
			}
		}
	}
	// Every bit of the message is a constant, or comes back.
	good := outside.Hex(t, "F07F7F0101 61253410 F7")
	for at := range good {
		for bit := range 8 {
			b := bytes.Clone(good)
			b[at] ^= 1 << bit
			got, err := midi.ParseFullFrame(b)
			if constant := at != 2 && (at < 5 || at > 8); constant && err == nil || err == nil && !bytes.Equal(got.Append(nil), b) {
				t.Errorf("byte %d, bit %d: %+v, %v", at, bit, got, err)
			}
		}
	}
	for _, hex := range []string{"", "F07F7F0101 612534 F7", "F07F7F0101 6125341000 F7"} {
		if _, err := midi.ParseFullFrame(outside.Hex(t, hex)); err == nil {
			t.Errorf("%s is taken", hex)
		}
	}
}

func TestQuarterFrameBounds(t *testing.T) {
	for hex, want := range map[string]string{"F100": "{0 0}", "F17F": "{7 15}", "F134": "{3 4}", "F180": "", "F1": "", "F10000": "", "F200": ""} {
		got, err := midi.ParseQuarterFrame(outside.Hex(t, hex))
		if (err != nil) != (want == "") || err == nil && fmt.Sprint(got) != want {
			t.Errorf("%s: %v, %v", hex, got, err)
		}
	}
}

// MIDI Show Control 1.0, sections 3 to 5: what each command carries, at the
// bounds of each field and past them.
func TestShowControlBounds(t *testing.T) {
	type m = midi.ShowControl
	day := midi.ShowTime{Rate: 1, Hours: 23, Minutes: 59, Seconds: 59, Frame: 24, Hundredths: 99}
	late := day
	late.Hundredths = 100
	digits := strings.Repeat("1", 128-7) // F0 7F device 02 format command ... F7
	for _, c := range []struct {
		m    m
		want string
	}{
		{m{Device: 0x7F, Format: 0x7F, Command: midi.Go}, ""},
		{m{Device: 0x80, Format: 1, Command: midi.Go}, "device 0x80, format 0x1: want 0 to 0x7f, 1 to 0x7f"},
		{m{Format: 0, Command: midi.Go}, "device 0x0, format 0x0"}, {m{Format: 0x80, Command: midi.Go}, "format 0x80"},
		{m{Format: 1, Command: midi.GoOff, Cue: "1", List: "2", Path: "3"}, ""},
		{m{Format: 1, Command: midi.Go, List: "2"}, "each needs the one before"},
		{m{Format: 1, Command: midi.Go, Cue: "1", Path: "3"}, "each needs the one before"},
		{m{Format: 1, Command: midi.Go, Cue: "1."}, `got "1.", want digits and points as 12.5`},
		{m{Format: 1, Command: midi.Go, Cue: "1", List: ".2"}, `got ".2", want digits`},
		{m{Format: 1, Command: midi.Go, Cue: "1", List: "2", Path: "3/4"}, `got "3/4", want digits`},
		{m{Format: 1, Command: midi.Go, Cue: "1:2"}, `got "1:2", want digits`},
		{m{Format: 1, Command: midi.Go, Cue: "0.9"}, ""},
		{m{Format: 1, Command: midi.Stop}, ""}, {m{Format: 1, Command: midi.Resume}, ""},
		{m{Format: 1, Command: midi.TimedGo, Time: day}, ""}, {m{Format: 1, Command: midi.TimedGo, Time: late}, "hundredths: got 100, want 0 to 99"},
		{m{Format: 1, Command: midi.TimedGo, Time: midi.ShowTime{Hours: 24}}, "want a time of day"},
		{m{Format: 1, Command: midi.Set, Control: 0x3FFF, Value: 0x3FFF, Time: day}, ""},
		{m{Format: 1, Command: midi.Set, Control: 0x4000}, "control 16384, value 0: want 14 bits"},
		{m{Format: 1, Command: midi.Set, Value: 0x4000}, "control 0, value 16384: want 14 bits"},
		{m{Format: 1, Command: midi.Set, Time: late}, "hundredths"},
		{m{Format: 1, Command: midi.Fire, Macro: 127}, ""}, {m{Format: 1, Command: midi.Fire, Macro: 128}, "macro 128, want 0 to 127"},
		{m{Format: 1, Command: midi.AllOff, Cue: "1"}, `command 0x08: got cue "1", want none`},
		{m{Format: 1, Command: midi.Restore}, ""}, {m{Format: 1, Command: midi.Restore, Cue: "1"}, "command 0x09: got cue"},
		{m{Format: 1, Command: midi.Reset, Cue: "1"}, "command 0x0a: got cue"},
		{m{Format: 1, Command: midi.Load}, "load: got no cue, want one"},
		{m{Format: 1, Command: 12}, "command: got 0x0c, want 0x01 to 0x0b"},
		{m{Format: 1, Command: midi.Go, Cue: digits}, ""},
		{m{Format: 1, Command: midi.Go, Cue: digits + "1"}, "length: got 129 bytes, want at most 128"},
	} {
		err := c.m.Check()
		if (err != nil) != (c.want != "") || err != nil && !strings.Contains(err.Error(), c.want) {
			t.Errorf("%+v: %v, want %q in it", c.m, err, c.want)
		}
		if err != nil {
			continue
		}
		if got, err := midi.ParseShowControl(c.m.Append(nil)); err != nil || got != c.m {
			t.Errorf("%+v comes back as %+v, %v", c.m, got, err)
		}
	}
	// The commands have the numbers of section 5.
	for i, c := range []midi.Command{midi.Go, midi.Stop, midi.Resume, midi.TimedGo, midi.Load, midi.Set, midi.Fire, midi.AllOff, midi.Restore, midi.Reset, midi.GoOff} {
		if int(c) != i+1 {
			t.Errorf("command %d has the number %d", i+1, c)
		}
	}
	// Set with a time, byte by byte (section 5.6): control and value with their
	// low seven bits first, then the time.
	s := m{Device: 1, Format: 1, Command: midi.Set, Control: 0x81, Value: 0x3F80, Time: midi.ShowTime{Rate: 2, Hours: 1, Minutes: 2, Seconds: 3, Frame: 4, Hundredths: 5}}
	if want := outside.Hex(t, "F07F01020106 0101 007F 41 02 03 04 05 F7"); !bytes.Equal(s.Append(nil), want) {
		t.Errorf("set with a time is % x, want % x", s.Append(nil), want)
	}
	if got, err := midi.ParseShowControl(s.Append(nil)); err != nil || got != s {
		t.Errorf("it reads %+v, %v", got, err)
	}
	if _, err := midi.ParseShowControl(outside.Hex(t, "F07F01020106 0101007F 0000000000 F7")); err == nil {
		t.Error("a zero time written out would be lost, and is taken")
	}
}

// Events of a file come out in the order of their ticks, those of one tick as
// they were added, each as far from the one before as it should be.
func TestDeltaTimes(t *testing.T) {
	f := &midi.File{Division: 500, Tracks: []midi.Track{{
		{300, midi.Program(0, 3)}, {100, midi.Program(0, 1)}, {300, midi.Program(0, 4)}, {250, midi.Program(0, 2)}, {300, []byte{0xFF, 0x2F}},
	}}}
	b, err := f.Append(nil)
	if err != nil {
		t.Fatal(err)
	}
	// 100 is 64, 150 is 81 16, 50 is 32 in variable-length form.
	if want := outside.Hex(t, "64 c001 8116 c002 32 c003 00 c004 00 ff2f00"); !bytes.Equal(b[22:], want) {
		t.Errorf("got % x, want % x", b[22:], want)
	}
	if f.Tracks[0][0].Tick != 300 {
		t.Error("the file was sorted in place")
	}
	back, err := midi.ParseFile(b)
	if err != nil {
		t.Fatal(err)
	}
	var ticks []int64
	for _, e := range back.Tracks[0] {
		ticks = append(ticks, e.Tick)
	}
	if !slices.Equal(ticks, []int64{100, 250, 300, 300, 300}) {
		t.Errorf("read back at %v", ticks)
	}
	// The longest delta-time, twice: the bound is on the distance, not on the tick.
	f.Tracks[0] = midi.Track{{midi.MaxDelta, midi.Program(0, 1)}, {2 * midi.MaxDelta, midi.Program(0, 2)}}
	if b, err = f.Append(nil); err != nil {
		t.Fatal(err)
	}
	if back, err = midi.ParseFile(b); err != nil || back.Tracks[0][1].Tick != 2*midi.MaxDelta {
		t.Errorf("%v, %v", back, err)
	}
	f.Tracks[0][1].Tick++
	if _, err = f.Append(nil); err == nil || !strings.Contains(err.Error(), "268435456 ticks after the event before") {
		t.Errorf("one tick more: %v", err)
	}
}

// Headers that a file can have, and those that it cannot (Standard MIDI Files
// 1.0, "Header Chunks").
func TestHeaders(t *testing.T) {
	for _, c := range []struct {
		format, division uint16
		tracks           int
		good             bool
	}{
		{0, 500, 1, true}, {0, 500, 0, false}, {0, 500, 2, false}, {1, 500, 0, true}, {1, 500, 1, true}, {1, 500, 3, true}, {2, 500, 2, true}, {3, 500, 1, false},
		{1, 1, 1, true}, {1, 0x7FFF, 1, true}, {1, 0, 1, false},
		{1, 0xE850, 1, true}, {1, 0xE728, 1, true}, {1, 0xE350, 1, true}, {1, 0xE250, 1, true}, // -24, -25, -29, -30
		{1, 0xE800, 1, false}, {1, 0xE650, 1, false}, {1, 0xE450, 1, false}, {1, 0xE150, 1, false}, {1, 0x8050, 1, false}, {1, 0xE2FF, 1, true},
	} {
		f := &midi.File{Format: c.format, Division: c.division, Tracks: make([]midi.Track, c.tracks)}
		b, err := f.Append(nil)
		if (err == nil) != c.good {
			t.Errorf("format %d, division %#x, %d tracks: %v", c.format, c.division, c.tracks, err)
		}
		if err != nil {
			continue
		}
		back, err := midi.ParseFile(b)
		if err != nil || back.Format != c.format || back.Division != c.division || len(back.Tracks) != c.tracks {
			t.Errorf("format %d, division %#x, %d tracks come back as %+v, %v", c.format, c.division, c.tracks, back, err)
		}
	}
	for tracks, format := range map[int]uint16{1: 0, 2: 1} {
		f := midi.NewFile(tracks)
		if f.Format != format || f.Division != 500 || len(f.Tracks) != tracks || !bytes.Equal(f.Tracks[0][0].Data, midi.Tempo(500_000)) {
			t.Errorf("a new file of %d tracks is %+v", tracks, f)
		}
	}
}

// A file that is cut anywhere, or in which a chunk says it is longer than it
// is, is refused with the place where it ended.
func TestEveryTruncation(t *testing.T) {
	_, hex := oneOfEach()
	good := outside.Hex(t, hex)
	for n := range good {
		if _, err := midi.ParseFile(good[:n:n]); err == nil {
			t.Errorf("%d of %d bytes are taken", n, len(good))
		}
		// The track says that it ends there: its events are cut.
		if n > 22 {
			b := bytes.Clone(good[:n])
			b[21] = byte(n - 22)
			if _, err := midi.ParseFile(b); err == nil {
				t.Errorf("a track of %d bytes is taken", n-22)
			}
		}
	}
	const head = "4d546864 00000006 0000 0001 01f4 4d54726b 000000"
	for _, c := range []struct{ hex, says string }{
		{head + "05 00 f0 09 01 02", "track 0: offset 22: event 0xf0: got 2 bytes before the end of the chunk, want 9"},
		{head + "02 00 90", "track 0: offset 22: event 0x90: got 0 bytes before the end of the chunk, want 2"},
		{head + "03 00 90 3c", "track 0: offset 22: event 0x90: got 1 bytes before the end of the chunk, want 2"},
		{head + "07 00 90 3c 64 05 3c 00", "track 0: offset 29: delta-time: got 0 bytes before the end of the chunk, want 1"},
		{head + "08 00 c0 01 00 ff 2f 00 07", "track 0: offset 29: got 1 bytes after the end of the track, want none"},
		{head + "04 00 ff 51 00", "track 0: offset 22: tempo: got , want 3 bytes of more than 0 us"},
		{head + "07 00 ff 51 03 00 00 00", "track 0: offset 22: tempo: got 00 00 00, want 3 bytes"},
		{head + "05 00 ff 2f 01 00", "track 0: offset 22: end of track: got 1 bytes, want none"},
		{head + "04 00 ff 80 00", "track 0: offset 22: meta event: got ff 80, want a type below 80"},
		{head + "02 00 ff", "track 0: offset 22: meta event: got 0 bytes"},
		{head + "06 00 f0 00 00 3c 40", "event: data byte 0x3c without a status"}, // sysex ends running status
		{head + "0a 00 90 3c 40 00 f0 00 00 3c 40", "event: data byte 0x3c without a status"},
	} {
		_, err := midi.ParseFile(outside.Hex(t, c.hex))
		if err == nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s: error %v, want %q in it", c.hex, err, c.says)
		}
	}
}

// A tick is as long as the division says: of a quarter note at the tempo that
// stands there, or of a frame, 30000/1001 of them to a second for 29 (SMPTE
// ST 12-1), whatever the tempo.
func TestLengthOfATick(t *testing.T) {
	tempo := midi.Track{{0, midi.Tempo(250_000)}}
	for _, c := range []struct {
		division uint16
		track    midi.Track
		tick     int64
		want     time.Duration
	}{
		{500, nil, 1, time.Millisecond}, {96, nil, 96, 500 * time.Millisecond}, {480, tempo, 480, 250 * time.Millisecond},
		{96, nil, 1, 5208333 * time.Nanosecond}, {96, nil, 2, 10416667 * time.Nanosecond}, // to the nearest ns
		{0xE850, tempo, 24 * 80, time.Second}, {0xE728, nil, 1000, time.Second}, {0xE250, nil, 30 * 80, time.Second},
		{0xE350, tempo, 30000 * 80, 1001 * time.Second}, {0xE301, nil, 1, 33366667 * time.Nanosecond},
		{500, tempo, 0, 0}, {500, nil, -5, 0},
		{500, midi.Track{{10, []byte{0xFF, 0x52, 1, 2, 3}}, {10, []byte{0xFF, 0x51}}}, 1000, time.Second}, // no tempos
	} {
		f := &midi.File{Division: c.division, Tracks: []midi.Track{c.track}}
		if got := f.Clock().Time(c.tick); got != c.want {
			t.Errorf("division %#x, tick %d: %v, want %v", c.division, c.tick, got, c.want)
		}
	}
	if got := (&midi.File{Division: 500}).Clock().Time(1000); got != time.Second {
		t.Errorf("without tracks: %v", got)
	}
	if got := midi.Ticks(-time.Second, 500, 500_000); got != 0 {
		t.Errorf("before the start: tick %d", got)
	}
}

// What an event of a file may be.
func TestEvents(t *testing.T) {
	for hex, want := range map[string]string{
		"ef 01 02": "", "80 7f 7f": "", "90 80 00": "data byte 0x80, want below 80", "7f": "status 0x7f", "f0": "", "f7 f1 02": "", "f8": "status 0xf8", "f6": "status 0xf6",
		"c0": "with 0 data bytes, want 1", "c0 01 02": "with 2 data bytes, want 1", "ff 7f 01": "", "ff 80": "want a type below 80", "ff": "want a type below 80",
		"ff 2f 01": "end of track: got 1 bytes", "ff 51 01 02": "tempo", "ff 51 00 00 00": "tempo", "ff 51 00 00 01": "",
	} {
		f := &midi.File{Division: 500, Tracks: []midi.Track{{{0, outside.Hex(t, hex)}}}}
		_, err := f.Append(nil)
		if (err != nil) != (want != "") || err != nil && !strings.Contains(err.Error(), want) {
			t.Errorf("%s: %v, want %q in it", hex, err, want)
		}
	}
}
