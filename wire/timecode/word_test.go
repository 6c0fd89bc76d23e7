package timecode_test

import (
	"math/bits"
	"strings"
	"testing"

	"lampblack/wire/timecode"

	"pgregory.net/rapid"
)

// The bits of 23:59:58:27 at 30 frames a second, written out by hand from the
// table of SMPTE ST 12-1: digits least significant bit first, user bits 0, and
// the polarity bit 27 so that the number of zeros is even. Spaces between the
// octets of transmission.
func TestWordByHand(t *testing.T) {
	const (
		frames  = "1110 0000 01 0 0 0000" // 7, user, 2, drop, colour, user
		seconds = "0001 0000 101 P 0000"  // 8, user, 5, polarity, user
		minutes = "1001 0000 101 0 0000"  // 9, user, 5, flag 0, user
		hours   = "1100 0000 01 0 0 0000" // 3, user, 2, flags 1 and 2, user
		sync    = "0011 1111 1111 1101"
	)
	text := strings.ReplaceAll(frames+seconds+minutes+hours+sync, " ", "")
	ones := strings.Count(text, "1")
	text = strings.Replace(text, "P", string('0'+byte(ones%2)), 1)
	if len(text) != 80 || strings.Count(text, "0")%2 != 0 {
		t.Fatalf("%d bits, %d zeros", len(text), strings.Count(text, "0"))
	}
	f := timecode.Frame{Time: parse(t, timecode.Rate30, "23:59:58:27")}.Balance()
	var got strings.Builder
	for _, b := range f.Word() {
		for i := range 8 {
			got.WriteByte('0' + b>>i&1)
		}
	}
	if got.String() != text {
		t.Errorf("got  %s\nwant %s", got.String(), text)
	}
}

func frame() *rapid.Generator[timecode.Frame] {
	return rapid.Custom(func(t *rapid.T) timecode.Frame {
		r := rapid.SampledFrom(timecode.Rates[:]).Draw(t, "rate")
		return timecode.Frame{Time: r.Frame(rapid.Int64Range(0, r.Day()-1).Draw(t, "n")), User: rapid.Uint32().Draw(t, "user"),
			ColourFrame: rapid.Bool().Draw(t, "colour"), Group: rapid.Uint8Range(0, 7).Draw(t, "group"), Polarity: rapid.Bool().Draw(t, "polarity")}
	})
}

func TestWordRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f := frame().Draw(t, "frame")
		got, err := timecode.ParseWord(f.Word(), f.Rate)
		if err != nil || got != f {
			t.Fatalf("got %+v, %v, want %+v", got, err, f)
		}
		ones := 0
		for _, b := range f.Balance().Word() {
			ones += bits.OnesCount8(b)
		}
		if ones%2 != 0 {
			t.Fatalf("balanced: %d ones of 80, want an even number", ones)
		}
	})
}

func FuzzWord(f *testing.F) {
	w := timecode.Frame{Time: timecode.Rate25.Frame(90000), User: 0x12345678}.Balance().Word()
	f.Add(w[:], uint8(1))
	f.Fuzz(func(t *testing.T, b []byte, rate uint8) {
		if len(b) != 10 {
			return
		}
		w := timecode.Word(b)
		if got, err := timecode.ParseWord(w, timecode.Rate(rate&3)); err == nil && got.Word() != w {
			t.Errorf("% x encodes to % x", w, got.Word())
		}
	})
}
