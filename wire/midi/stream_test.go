package midi_test

import (
	"bytes"
	"fmt"
	"strings"
	"testing"

	"lampblack/wire/midi"
	"lampblack/wire/outside"

	"pgregory.net/rapid"
)

func messages(chunks ...[]byte) []string {
	var s midi.Stream
	var got []string
	for _, c := range chunks {
		s.Feed(c, func(m []byte) { got = append(got, fmt.Sprintf("% x", m)) })
	}
	return got
}

// Rules of the MIDI 1.0 detailed specification, "running status", "system
// real time messages", "system exclusive".
func TestStream(t *testing.T) {
	for _, c := range []struct{ name, in, want string }{
		{"running status", "90 3c 64 3e 64 80 3c 00", "90 3c 64|90 3e 64|80 3c 00"},
		{"real time inside", "90 f8 3c fe 64", "f8|fe|90 3c 64"},
		{"real time inside sysex", "f0 01 f8 02 f7", "f8|f0 01 02 f7"},
		{"system common ends running status", "90 3c 64 f1 12 3c 64 90 01 02", "90 3c 64|f1 12|90 01 02"},
		{"sysex ends running status", "90 3c 64 f0 01 f7 3c 64", "90 3c 64|f0 01 f7"},
		{"sysex cut off by a status", "f0 01 02 90 3c 64", "90 3c 64"},
		{"data before any status", "3c 64 c0 05", "c0 05"},
		{"undefined statuses", "f4 01 f5 02 f9 fd 90 3c 64", "90 3c 64"},
		{"one data byte", "c1 05 06 d2 07", "c1 05|c1 06|d2 07"},
		{"song position, tune request", "f2 01 02 f6", "f2 01 02|f6"},
		{"message cut off", "90 3c 80 3c 00", "80 3c 00"},
		{"end of nothing", "f7 90 3c 64", "90 3c 64"},
	} {
		if got := strings.Join(messages(outside.Hex(t, c.in)), "|"); got != c.want {
			t.Errorf("%s: got %s, want %s", c.name, got, c.want)
		}
	}
}

func TestStreamForgetsEndlessSysEx(t *testing.T) {
	long := append([]byte{0xF0}, bytes.Repeat([]byte{1}, 3*midi.SysExLimit)...)
	long = append(long, 0xF7, 0x90, 1, 2)
	if got := messages(long); len(got) != 1 || got[0] != "90 01 02" {
		t.Errorf("got %d messages, want the note alone", len(got))
	}
}

// How the bytes fall into reads must not matter.
func TestStreamAnyCut(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := rapid.SliceOf(rapid.OneOf(rapid.Byte(), rapid.SampledFrom([]byte{0x90, 0xF0, 0xF7, 0xF8, 0xF1, 0x01}))).Draw(t, "bytes")
		cut := rapid.IntRange(0, len(b)).Draw(t, "cut")
		one, two := messages(b), messages(b[:cut], b[cut:])
		if strings.Join(one, "|") != strings.Join(two, "|") {
			t.Fatalf("whole: %v, cut: %v", one, two)
		}
	})
}

// Whatever comes out is a complete message, and feeding the messages again
// gives the same ones.
func FuzzStream(f *testing.F) {
	f.Add([]byte{0x90, 0x3C, 0x64, 0x3E, 0x64, 0xF8, 0xF0, 1, 0xF7, 0xF1, 2})
	f.Fuzz(func(t *testing.T, b []byte) {
		var s, again midi.Stream
		s.Feed(b, func(m []byte) {
			if m[0] < 0x80 {
				t.Fatalf("% x begins without a status", m)
			}
			copied := bytes.Clone(m)
			n := 0
			again.Feed(copied, func(m2 []byte) {
				n++
				if !bytes.Equal(m2, copied) {
					t.Fatalf("% x comes back as % x", copied, m2)
				}
			})
			if n != 1 {
				t.Fatalf("% x comes back as %d messages", copied, n)
			}
		})
	})
}
