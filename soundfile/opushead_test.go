package soundfile

import (
	"encoding/binary"
	"math"
	"slices"
	"testing"
)

// opusHead is an identification header (RFC 7845, section 5.1), with a channel
// mapping where family is not 0.
func opusHead(channels, preSkip, gain int, family byte, mapping ...byte) []byte {
	b := append([]byte("OpusHead"), 1, byte(channels))
	b = binary.LittleEndian.AppendUint16(b, uint16(preSkip))
	b = binary.LittleEndian.AppendUint32(b, 44100)
	b = binary.LittleEndian.AppendUint16(b, uint16(int16(gain)))
	return append(append(b, family), mapping...)
}

// The output gain is in decibels, in 256ths (RFC 7845, section 5.1): 20 dB are ten
// times, 6.02 dB twice.
func TestOpusGain(t *testing.T) {
	for gain, want := range map[int]float64{0: 1, 20 * 256: 10, -20 * 256: .1, 1541: 1.99976, -40 * 256: .01} {
		c := &opusCodec{}
		if ready, err := c.header(opusHead(2, 312, gain, 0)); ready || err != nil {
			t.Fatal(ready, err)
		}
		if math.Abs(float64(c.gain)/want-1) > 1e-5 {
			t.Errorf("%d is a factor of %v, want %v", gain, c.gain, want)
		}
		if c.skip() != 312 || c.format().Channels != 2 || c.format().Rate != 48000 {
			t.Errorf("%d frames are skipped of %+v", c.skip(), c.format())
		}
	}
}

// Headers as RFC 7845 has them, and as it has not.
func TestOpusHeads(t *testing.T) {
	for name, c := range map[string]struct {
		head    []byte
		streams []int // channels of each; nil when it is refused
	}{
		"mono":                   {opusHead(1, 0, 0, 0), []int{1}},
		"stereo":                 {opusHead(2, 0, 0, 0), []int{2}},
		"5.1, as in the RFC":     {opusHead(6, 0, 0, 1, 4, 2, 0, 4, 1, 2, 3, 5), []int{2, 2, 1, 1}},
		"three without mapping":  {opusHead(3, 0, 0, 0), nil},
		"no channels":            {opusHead(0, 0, 0, 0), nil},
		"mapping cut":            {opusHead(3, 0, 0, 1, 2, 1, 0, 2), nil},
		"no streams":             {opusHead(2, 0, 0, 1, 0, 0, 0, 1), nil},
		"more stereo than there": {opusHead(2, 0, 0, 1, 1, 2, 0, 1), nil},
		"version 16":             {slices.Replace(opusHead(2, 0, 0, 0), 8, 9, 16), nil},
		"version 15":             {slices.Replace(opusHead(2, 0, 0, 0), 8, 9, 15), []int{2}},
		"cut":                    {opusHead(2, 0, 0, 0)[:18], nil},
	} {
		codec := &opusCodec{}
		err := codec.parseHead(c.head)
		var got []int
		for _, s := range codec.streams {
			got = append(got, s.channels)
		}
		if (err == nil) != (c.streams != nil) || err == nil && !slices.Equal(got, c.streams) {
			t.Errorf("%s: streams of %v channels, %v; want %v", name, got, err, c.streams)
		}
	}
	c := &opusCodec{}
	_, _ = c.header(opusHead(2, 0, 0, 0))
	if ready, err := c.header([]byte("OpusTags")); !ready || err != nil {
		t.Errorf("with its tags: %v, %v", ready, err)
	}
	c = &opusCodec{}
	_, _ = c.header(opusHead(2, 0, 0, 0))
	if _, err := c.header([]byte("OpusTag")); err == nil {
		t.Error("no tags are taken for tags")
	}
}

// How much sound a packet holds, by table 2 of RFC 6716 and its section 3.2.
func TestOpusFrames(t *testing.T) {
	toc := func(config, code int) byte { return byte(config<<3 | code) }
	for _, c := range []struct {
		p    []byte
		want int // samples at 48 kHz
	}{
		{[]byte{toc(0, 0)}, 480}, {[]byte{toc(3, 0)}, 2880}, {[]byte{toc(9, 1)}, 2 * 960}, {[]byte{toc(12, 0)}, 480}, {[]byte{toc(15, 2)}, 2 * 960},
		{[]byte{toc(16, 0)}, 120}, {[]byte{toc(31, 0)}, 960}, {[]byte{toc(31, 3), 6}, 5760}, {[]byte{toc(31, 3), 7}, 0}, {[]byte{toc(16, 3), 48}, 5760},
		{[]byte{toc(16, 3), 0x80 | 0x40 | 3}, 360}, {[]byte{toc(31, 3)}, 0}, {nil, 0}, {[]byte{toc(31, 3), 0}, 0},
	} {
		if got := opusFrames(c.p); got != c.want {
			t.Errorf("% x holds %d samples, want %d", c.p, got, c.want)
		}
	}
}

// Self-delimiting framing (RFC 6716, appendix B) adds the length of the last frame
// to each form of section 3.2; without it the packet is the usual one.
func TestCutSelfDelimited(t *testing.T) {
	body := func(n int) []byte { return slices.Repeat([]byte{0xAB}, n) }
	join := slices.Concat[[]byte]
	for name, c := range map[string]struct{ framed, want []byte }{
		"one frame":          {join([]byte{0xF8, 3}, body(3)), join([]byte{0xF8}, body(3))},
		"one long frame":     {join([]byte{0xF8, 252, 1}, body(256)), join([]byte{0xF8}, body(256))},
		"two of one size":    {join([]byte{0xF9, 3}, body(6)), join([]byte{0xF9}, body(6))},
		"two of two sizes":   {join([]byte{0xFA, 2, 5}, body(7)), join([]byte{0xFA, 2}, body(7))},
		"two, one long":      {join([]byte{0xFA, 253, 2, 5}, body(266)), join([]byte{0xFA, 253, 2}, body(266))},
		"three of one size":  {join([]byte{0xFB, 3, 4}, body(12)), join([]byte{0xFB, 3}, body(12))},
		"three of any size":  {join([]byte{0xFB, 0x83, 1, 2, 3}, body(6)), join([]byte{0xFB, 0x83, 1, 2}, body(6))},
		"padded":             {join([]byte{0xFB, 0x41, 2, 4}, body(6)), join([]byte{0xFB, 0x41, 2}, body(6))},
		"padded by much":     {join([]byte{0xFB, 0x41, 255, 1, 4}, body(259)), join([]byte{0xFB, 0x41, 255, 1}, body(259))},
		"longer than it is":  {join([]byte{0xF8, 4}, body(3)), nil},
		"cut in its lengths": {[]byte{0xFA, 2}, nil},
		"a byte":             {[]byte{0xF8}, nil},
	} {
		rest := []byte{1, 2, 3}
		if c.want == nil {
			rest = nil
		}
		packet, left, err := cutSelfDelimited(join(c.framed, rest))
		if (err == nil) != (c.want != nil) || !slices.Equal(packet, c.want) || err == nil && !slices.Equal(left, rest) {
			t.Errorf("%s: % x, then % x, %v", name, packet, left, err)
		}
	}
}
