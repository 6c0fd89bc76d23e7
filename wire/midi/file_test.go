package midi_test

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"math/big"
	"reflect"
	"strings"
	"testing"
	"time"

	"lampblack/wire/midi"
	"lampblack/wire/outside"

	"pgregory.net/rapid"
)

// Variable-length quantities of the Standard MIDI Files 1.0 text, each as the
// delta-time of a file's only event.
func TestVariableLengthExamples(t *testing.T) {
	for v, hex := range map[int64]string{
		0x00: "00", 0x40: "40", 0x7F: "7F", 0x80: "8100", 0x2000: "C000", 0x3FFF: "FF7F", 0x4000: "818000",
		0x100000: "C08000", 0x1FFFFF: "FFFF7F", 0x200000: "81808000", 0x8000000: "C0808000", 0xFFFFFFF: "FFFFFF7F",
	} {
		f := &midi.File{Division: 500, Tracks: []midi.Track{{{Tick: v, Data: midi.Program(0, 1)}}}}
		b, err := f.Append(nil)
		if err != nil {
			t.Fatal(err)
		}
		track := b[22:]
		want := append(outside.Hex(t, hex), 0xC0, 1, 0, 0xFF, 0x2F, 0)
		if !bytes.Equal(track, want) {
			t.Errorf("%#x: track % x, want % x", v, track, want)
		}
		back, err := midi.ParseFile(b)
		if err != nil || back.Tracks[0][0].Tick != v {
			t.Errorf("%#x: read back %+v, %v", v, back, err)
		}
	}
}

// oneOfEach is a file whose bytes were written by hand from the text of the
// standard: a tempo, a track name, a note of 100 ms at 1.234 s, a show control
// message at 61.001 s, and a cue point after one hour.
func oneOfEach() (*midi.File, string) {
	f := midi.NewFile(1)
	f.Add(0, 0, midi.TrackName("cues"))
	f.Add(0, 1234*time.Millisecond, midi.NoteOn(0, 60, 100))
	f.Add(0, 1334*time.Millisecond, midi.NoteOff(0, 60))
	s := midi.ShowControl{Device: 0x7F, Format: midi.Lighting, Command: midi.Go, Cue: "235.6", List: "36.6", Path: "59"}
	f.Add(0, 61001*time.Millisecond, s.Append(nil))
	f.Add(0, time.Hour, midi.CuePoint("end"))
	return f, "4d546864 00000006 0000 0001 01f4 4d54726b 0000003e 00ff510307a120 00ff030463756573 8952903c64 64803c00" +
		"83d213 f0137f0102010132 33352e3600 33362e36003539f7 81d88037 ff0703656e64 00ff2f00"
}

func TestFileBytes(t *testing.T) {
	f, hex := oneOfEach()
	s := midi.ShowControl{Device: 1, Format: midi.Lighting, Command: midi.Go, Cue: "235.6", List: "36.6", Path: "59"}
	f.Tracks[0][4].Data = s.Append(nil)
	got, err := f.Append(nil)
	if err != nil {
		t.Fatal(err)
	}
	if want := outside.Hex(t, hex); !bytes.Equal(got, want) {
		t.Errorf("got  % x\nwant % x", got, want)
	}
}

// A standard file may use running status, unknown chunks, a longer header.
func TestParseFileTakesWhatTheStandardAllows(t *testing.T) {
	b := outside.Hex(t, "4d546864 00000008 0000 0001 01f4 beef"+ // header of 8 bytes
		"58585858 00000002 0102"+ // an unknown chunk
		"4d54726b 0000000f 00 903c64 64 3c00 8000 c005 00 ff2f00"+ // running status; 8000 is 0 on two bytes
		"59595959 00000000")
	f, err := midi.ParseFile(b)
	if err != nil {
		t.Fatal(err)
	}
	want := midi.Track{{0, midi.NoteOn(0, 60, 100)}, {100, []byte{0x90, 60, 0}}, {100, midi.Program(0, 5)}, {100, []byte{0xFF, 0x2F}}}
	if !reflect.DeepEqual(f.Tracks[0], want) {
		t.Errorf("got %v", f.Tracks[0])
	}
}

func TestParseFileRefuses(t *testing.T) {
	const head = "4d546864 00000006 0000 0001 01f4 "
	for _, c := range []struct{ hex, says string }{
		{"", "header: chunk: got 0 bytes"},
		{"52494646 00000000", `want "MThd"`},
		{"4d546864 00000004 0000 0001", "header: got 4 bytes"},
		{"4d546864 00000006 0003 0001 01f4", "format 3"},
		{"4d546864 00000006 0000 0002 01f4", "format 0 with 2 tracks"},
		{"4d546864 00000006 0000 0001 0000", "division: got 0"},
		{"4d546864 00000006 0000 0001 e800", "division: got 0xe800"},
		{"4d546864 00000006 0000 0001 e228", ""}, // 30 frames: right, then no track
		{head, "tracks: got 0, want the 1"},
		{head + "4d54726b 00000010 00", "length: got 16, want at most the 1"},
		{head + "4d54726b 00000001 00", "offset 22"},
		{head + "4d54726b 00000004 00 903c64", "delta-time"},
		{head + "4d54726b 00000003 00 3c64", "without a status"},
		{head + "4d54726b 00000004 00 903cff", "data byte 0xff"},
		{head + "4d54726b 00000002 00 f1", "status 0xf1"},
		{head + "4d54726b 00000008 00 ff5102 0102 00 ff2f00", "tempo"},
		{head + "4d54726b 00000005 00 ff2f0000", "after the end of the track"},
		{head + "4d54726b 00000006 ffffffff7f 00", "more than 4 bytes"},
		{head + "4d54726b 00000005 00 f0 ffff7f", "want 2097151"},
	} {
		_, err := midi.ParseFile(outside.Hex(t, c.hex))
		if err == nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s: error %v, want %q in it", c.hex, err, c.says)
		}
	}
}

func TestFileAppendRefuses(t *testing.T) {
	for _, c := range []struct {
		track midi.Track
		says  string
	}{
		{midi.Track{{0, nil}}, "got 0 bytes"},
		{midi.Track{{-1, midi.Program(0, 0)}}, "-1 ticks after"},
		{midi.Track{{midi.MaxDelta + 1, midi.Program(0, 0)}}, "want 0 to 268435455"},
		{midi.Track{{0, []byte{0xF1, 0}}}, "status 0xf1"},
		{midi.Track{{0, []byte{0x90, 60}}}, "with 1 data bytes, want 2"},
		{midi.Track{{0, []byte{0xFF, 0x2F}}, {1, midi.Program(0, 0)}}, "after the end"},
	} {
		f := &midi.File{Division: 500, Tracks: []midi.Track{c.track}}
		if _, err := f.Append(nil); err == nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%v: error %v, want %q in it", c.track, err, c.says)
		}
	}
}

// Half a tick of 1 ms, wherever in ten hours the event lies and however many
// lie before it: no drift.
func TestNoDrift(t *testing.T) {
	f := midi.NewFile(1)
	var want []time.Duration
	step := 33_366_700 * time.Nanosecond // no whole number of ticks
	for at := time.Duration(0); at < 10*time.Hour; at += 97 * step {
		f.Add(0, at, midi.NoteOn(0, 1, 1))
		want = append(want, at)
	}
	b, err := f.Append(nil)
	if err != nil {
		t.Fatal(err)
	}
	back, err := midi.ParseFile(b)
	if err != nil {
		t.Fatal(err)
	}
	clock := back.Clock()
	for i, at := range want {
		if d := clock.Time(back.Tracks[0][i+1].Tick) - at; d.Abs() > 500*time.Microsecond {
			t.Fatalf("event %d at %v is off by %v", i, at, d)
		}
	}
}

// Ticks against exact rational arithmetic.
func TestTicksExact(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := time.Duration(rapid.Int64Range(0, int64(1000*time.Hour)).Draw(t, "time"))
		division := rapid.Uint16Range(1, 0x7FFF).Draw(t, "division")
		tempo := rapid.IntRange(1, 0xFFFFFF).Draw(t, "tempo")
		r := big.NewRat(int64(d), int64(tempo)*1000)
		r.Mul(r, big.NewRat(int64(division), 1)).Add(r, big.NewRat(1, 2))
		want := new(big.Int).Quo(r.Num(), r.Denom())
		if got := midi.Ticks(d, division, tempo); got != want.Int64() {
			t.Fatalf("Ticks(%v, %d, %d) = %d, want %v", d, division, tempo, got, want)
		}
	})
}

// A tempo map: 2 quarters at 500 000 us, 2 at 250 000, then 1 000 000.
func TestClockTempoMap(t *testing.T) {
	f := &midi.File{Division: 96, Tracks: []midi.Track{{{192, midi.Tempo(250_000)}, {384, midi.Tempo(1_000_000)}}}}
	for tick, want := range map[int64]time.Duration{0: 0, 96: 500 * time.Millisecond, 192: time.Second,
		240: 1125 * time.Millisecond, 384: 1500 * time.Millisecond, 480: 2500 * time.Millisecond} {
		if got := f.Clock().Time(tick); got != want {
			t.Errorf("tick %d: %v, want %v", tick, got, want)
		}
	}
	// Division e7 28: 25 frames of 40 ticks, 1 ms (Standard MIDI Files 1.0).
	f.Division = 0xE728
	if got := f.Clock().Time(1234); got != 1234*time.Millisecond {
		t.Errorf("25 frames of 40 ticks: tick 1234 at %v", got)
	}
}

func TestFileRoundTrip(t *testing.T) {
	event := rapid.Custom(func(t *rapid.T) midi.Event {
		return midi.Event{Tick: rapid.Int64Range(0, 1<<20).Draw(t, "tick"), Data: rapid.OneOf(
			rapid.Just(midi.NoteOn(3, 60, 1)), rapid.Just(midi.Text("x")), rapid.Just([]byte{0xF0, 1, 0xF7}),
			rapid.Just([]byte{0xF7, 0xF1, 0x12}), rapid.Just(midi.Control(0, 7, 127))).Draw(t, "data")}
	})
	rapid.Check(t, func(t *rapid.T) {
		f := &midi.File{Format: 1, Division: 480}
		for range rapid.IntRange(0, 3).Draw(t, "tracks") {
			f.Tracks = append(f.Tracks, rapid.SliceOf(event).Draw(t, "events"))
		}
		b, err := f.Append(nil)
		if err != nil {
			t.Fatal(err)
		}
		checkFileAgain(t, b)
	})
}

// checkFileAgain wants canonical bytes to decode and encode to themselves.
func checkFileAgain(t interface{ Fatalf(string, ...any) }, b []byte) {
	f, err := midi.ParseFile(b)
	if err != nil {
		t.Fatalf("our own bytes: %v\n% x", err, b)
	}
	if again, err := f.Append(nil); err != nil || !bytes.Equal(again, b) {
		t.Fatalf("% x\nencodes to\n% x, %v", b, again, err)
	}
}

// A file may be written in several ways (running status, unknown chunks), so
// what decodes encodes to its canonical form, and that to itself.
func FuzzFile(f *testing.F) {
	_, hex := oneOfEach()
	f.Add(outside.Hex(f, hex))
	f.Add(outside.Hex(f, "4d546864 00000006 0001 0001 e728 4d54726b 0000000d 8952903c64 643c00 00 ff2f00 0000"))
	f.Fuzz(func(t *testing.T, b []byte) {
		file, err := midi.ParseFile(b)
		if err != nil {
			return
		}
		canonical, err := file.Append(nil)
		if err != nil {
			t.Fatalf("% x decodes but does not encode: %v", b, err)
		}
		checkFileAgain(t, canonical)
		file.Clock().Time(1 << 27)
	})
}

func BenchmarkFile(b *testing.B) {
	f := midi.NewFile(1)
	for i := range 10000 {
		f.Add(0, time.Duration(i)*37*time.Millisecond, midi.NoteOn(0, 60, 100))
	}
	var buf []byte
	for b.Loop() {
		buf, _ = f.Append(buf[:0])
	}
	b.SetBytes(int64(len(buf)))
}

func ExampleFile() {
	f := midi.NewFile(1)
	f.Add(0, 1500*time.Millisecond, midi.NoteOn(0, 60, 100))
	b, _ := f.Append(nil)
	fmt.Printf("%s, %d ticks a quarter, track of %d bytes\n", b[:4], binary.BigEndian.Uint16(b[12:]), len(b)-22)
	// Output: MThd, 500 ticks a quarter, track of 16 bytes
}
