package midi_test

import (
	"bytes"
	"strings"
	"testing"

	"lampblack/wire/midi"
	"lampblack/wire/outside"

	"pgregory.net/rapid"
)

// The example of the MIDI Time Code specification, 01:37:52:16 at 30 frames a
// second, as eight quarter frames; the full message of the same instant is
// derived from the same text.
func TestTimeCodeExample(t *testing.T) {
	nibbles := []byte{0x0, 0x1, 0x4, 0x3, 0x5, 0x2, 0x1, 0x6}
	var got []byte
	for i, n := range nibbles {
		got = midi.QuarterFrame{Piece: byte(i), Nibble: n}.Append(got)
	}
	if want := outside.Hex(t, "F100 F111 F124 F133 F145 F152 F161 F176"); !bytes.Equal(got, want) {
		t.Errorf("quarter frames % x, want % x", got, want)
	}
	full := midi.FullFrame{Device: 0x7F, Rate: 3, Hours: 1, Minutes: 37, Seconds: 52, Frame: 16}
	want := outside.Hex(t, "F07F7F0101 61253410 F7")
	if got := full.Append(nil); !bytes.Equal(got, want) {
		t.Errorf("full frame % x, want % x", got, want)
	}
	if got, err := midi.ParseFullFrame(want); err != nil || got != full {
		t.Errorf("parsed %+v, %v", got, err)
	}
}

// Messages derived from the tables of MIDI Show Control 1.0, sections 3 to 5.
// The cue 235.6, list 36.6, path 59 is the standard's own example.
func TestShowControlExamples(t *testing.T) {
	for _, c := range []struct {
		hex string
		msg midi.ShowControl
	}{
		{"F07F7F020101 3233352E36 00 33362E36 00 3539 F7", midi.ShowControl{Device: 0x7F, Format: 1, Command: midi.Go, Cue: "235.6", List: "36.6", Path: "59"}},
		{"F07F05020101 31322E35 00 31 F7", midi.ShowControl{Device: 5, Format: 1, Command: midi.Go, Cue: "12.5", List: "1"}},
		{"F07F01020101 F7", midi.ShowControl{Device: 1, Format: 1, Command: midi.Go}},
		{"F07F7F020102 F7", midi.ShowControl{Device: 0x7F, Format: 1, Command: midi.Stop}},
		{"F07F7F020108 F7", midi.ShowControl{Device: 0x7F, Format: 1, Command: midi.AllOff}},
		{"F07F7F02010A F7", midi.ShowControl{Device: 0x7F, Format: 1, Command: midi.Reset}},
		{"F07F7F020107 03 F7", midi.ShowControl{Device: 0x7F, Format: 1, Command: midi.Fire, Macro: 3}},
		{"F07F01020104 6000020F00 37 F7", midi.ShowControl{Device: 1, Format: 1, Command: midi.TimedGo, Time: midi.ShowTime{Rate: 3, Seconds: 2, Frame: 15}, Cue: "7"}},
		{"F07F01020106 01020304 F7", midi.ShowControl{Device: 1, Format: 1, Command: midi.Set, Control: 0x101, Value: 0x203}},
		{"F07F01020105 31 F7", midi.ShowControl{Device: 1, Format: 1, Command: midi.Load, Cue: "1"}},
	} {
		want := outside.Hex(t, c.hex)
		if got := c.msg.Append(nil); !bytes.Equal(got, want) {
			t.Errorf("%s: appended % x", c.hex, got)
		}
		if got, err := midi.ParseShowControl(want); err != nil || got != c.msg {
			t.Errorf("%s: parsed %+v, %v", c.hex, got, err)
		}
	}
}

func TestShowControlRefuses(t *testing.T) {
	for _, c := range []struct{ hex, says string }{
		{"F07F7F0201 F7", "want f0 7f device 02"},
		{"F07F7F030101F7", "want f0 7f device 02"},
		{"F07F7F020101", "want f0 7f device 02"},
		{"F07F7F020101 31" + strings.Repeat("31", 130) + "F7", "at most 128"},
		{"F07F7F02010CF7", "command: got 0x0c"},
		{"F07F7F020105F7", "load: got no cue"},
		{"F07F7F020101 41 F7", "want digits and points"},
		{"F07F7F020101 2E31 F7", "want digits and points"},
		{"F07F7F020101 00 31 F7", "each needs the one before"},
		{"F07F7F020101 31003100310031 F7", "got 4 numbers"},
		{"F07F7F020101 3100 F7", "data:"},
		{"F07F7F020107 F7", "fire: got 0 data bytes"},
		{"F07F7F020104 600002 F7", "time: got 3 bytes"},
		{"F07F7F020104 6000021E00 F7", "want a time of day"},
		{"F07F7F020106 01 F7", "set: got 1 data bytes"},
		{"F07F7F020108 31 F7", "got cue \"1\", want none"},
	} {
		_, err := midi.ParseShowControl(outside.Hex(t, c.hex))
		if err == nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s: error %v, want %q in it", c.hex, err, c.says)
		}
	}
}

func TestShowControlRoundTrip(t *testing.T) {
	number := rapid.StringMatching(`[0-9]{1,3}(\.[0-9]{1,3})?`)
	rapid.Check(t, func(t *rapid.T) {
		s := midi.ShowControl{Device: rapid.ByteRange(0, 127).Draw(t, "device"), Format: 1,
			Command: rapid.SampledFrom([]midi.Command{midi.Go, midi.TimedGo, midi.Resume, midi.Load}).Draw(t, "command")}
		s.Cue = number.Draw(t, "cue")
		if rapid.Bool().Draw(t, "list") {
			s.List = number.Draw(t, "list")
		}
		if s.Command == midi.TimedGo {
			s.Time = midi.ShowTime{Rate: 1, Minutes: rapid.ByteRange(0, 59).Draw(t, "m"), Frame: rapid.ByteRange(0, 24).Draw(t, "f")}
		}
		if got, err := midi.ParseShowControl(s.Append(nil)); err != nil || got != s {
			t.Fatalf("got %+v, %v, want %+v", got, err, s)
		}
	})
}

func FuzzMessages(f *testing.F) {
	for _, hex := range []string{"F07F7F0101 61253410 F7", "F07F7F020101 3233352E36 00 33362E36 00 3539 F7",
		"F07F01020104 6000020F00 37 F7", "F07F01020106 01020304 F7", "F171"} {
		f.Add(outside.Hex(f, hex))
	}
	f.Fuzz(func(t *testing.T, b []byte) {
		if s, err := midi.ParseShowControl(b); err == nil && !bytes.Equal(s.Append(nil), b) {
			t.Errorf("show control % x encodes to % x", b, s.Append(nil))
		}
		if m, err := midi.ParseFullFrame(b); err == nil && !bytes.Equal(m.Append(nil), b) {
			t.Errorf("full frame % x encodes to % x", b, m.Append(nil))
		}
		if q, err := midi.ParseQuarterFrame(b); err == nil && !bytes.Equal(q.Append(nil), b) {
			t.Errorf("quarter frame % x encodes to % x", b, q.Append(nil))
		}
	})
}
