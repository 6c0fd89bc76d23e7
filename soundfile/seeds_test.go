package soundfile

import (
	"bytes"
	"encoding/binary"
	"strings"
	"testing"
)

// Small streams for the fuzz targets to begin with, written here bit by bit from
// the formats' own texts.

// A bitWriter puts bits together, the lowest of a byte first, as Vorbis packs
// them (Vorbis I, section 2), or the highest first, as FLAC does.
type bitWriter struct {
	out   []byte
	bits  int
	first bool // the highest bit first
}

// put writes the lowest width bits of v.
func (w *bitWriter) put(width int, v uint64) {
	for i := range width {
		bit := v >> i & 1
		if w.first {
			bit = v >> (width - 1 - i) & 1
		}
		if w.bits%8 == 0 {
			w.out = append(w.out, 0)
		}
		at := w.bits % 8
		if w.first {
			at = 7 - at
		}
		w.out[w.bits/8] |= byte(bit << at)
		w.bits++
	}
}

// all writes pairs of a width and a value.
func (w *bitWriter) all(pairs ...uint64) *bitWriter {
	for i := 0; i < len(pairs); i += 2 {
		w.put(int(pairs[i]), pairs[i+1])
	}
	return w
}

// silentMP3 is n frames of MPEG-1 at 128 kbit/s and 44.1 kHz without content,
// which is valid.
func silentMP3(n int) []byte { return framedMP3("\xff\xfb\x90\x44", make([]byte, 413*n)) }

// framedMP3 is content in frames of 417 bytes under a header of that bit rate.
func framedMP3(head string, content []byte) (out []byte) {
	for len(content) > 0 {
		frame := make([]byte, 417)
		n := copy(frame[copy(frame, head):], content)
		content, out = content[n:], append(out, frame...)
	}
	return out
}

// flacStream is the marker and STREAMINFO of stereo at 44.1 kHz in blocks of 256
// (RFC 9639, section 8.2).
func flacStream(bits uint64) []byte {
	b := append([]byte("fLaC\x80\x00\x00\x22\x01\x00\x01\x00"), make([]byte, 6)...)
	b = binary.BigEndian.AppendUint64(b, 44100<<44|1<<41|(bits-1)<<36)
	return append(b, make([]byte, 16)...)
}

// flacHeader is that of a frame of 256 samples, with a true check (section 9.1);
// code tells the channels and the bits.
func flacHeader(code byte) []byte {
	h := []byte{0xFF, 0xF8, 0x79, code, 0x00, 0x00, 0xFF}
	c := byte(0)
	for _, v := range h {
		for bit := range 8 {
			top := c>>7 ^ v>>(7-bit)&1
			c = c<<1 ^ top*0x07
		}
	}
	return append(h, c)
}

// flacFrame closes a frame of two subframes with its check (section 9.3):
// CRC-16 of polynomial 0x8005.
func flacFrame(code byte, subframes *bitWriter) []byte {
	b := append(flacHeader(code), subframes.out...)
	c := uint16(0)
	for _, v := range b {
		c ^= uint16(v) << 8
		for range 8 {
			c = c<<1 ^ c>>15*0x8005
		}
	}
	return binary.BigEndian.AppendUint16(b, c)
}

// subframe writes one channel of 256 samples of 16 bits (section 9.2): kind is
// constant, verbatim, or a predictor with warm-up and a residual in one partition
// of Rice codes.
func subframe(w *bitWriter, kind, order uint64, values []byte) {
	w.all(1, 0, 6, kind, 1, 0)
	switch {
	case kind == 0:
		w.put(16, 0x1234)
		return
	case kind == 1:
		for i := range 256 {
			w.put(16, uint64(values[i%len(values)])<<4)
		}
		return
	}
	for i := range order {
		w.put(16, uint64(values[i]))
	}
	if kind >= 32 { // coefficients of 4 bits, shifted by 2
		w.all(4, 3, 5, 2)
		for i := range order {
			w.put(4, uint64(values[i])&3)
		}
	}
	w.all(2, 0, 4, 0, 4, 2) // Rice codes of two low bits
	for i := order; i < 256; i++ {
		v := values[i%uint64(len(values))]
		w.all(uint64(v>>2&3)+1, 1) // so many zeros, then a one
		w.put(2, uint64(v))
	}
}

// flacSeeds are the subframes of one frame each, of every kind.
func flacSeeds() (out [][]byte) {
	for _, k := range [][2]uint64{{0, 0}, {1, 0}, {8, 0}, {9, 1}, {10, 2}, {11, 3}, {12, 4}, {32, 1}, {35, 4}} {
		w := &bitWriter{first: true}
		for range 2 {
			subframe(w, k[0], k[1], noise(64, k[0]))
		}
		out = append(out, flacFrame(0x18, w)[len(flacHeader(0x18)):])
	}
	return out
}

// vorbisHeaders are the three headers of a small Vorbis stream (Vorbis I, section
// 4.2): blocks of 64 and 128, two codebooks of two words each, a floor of three
// points, a residue of the type given.
func vorbisHeaders(channels, kind uint64) [][]byte {
	ident := append([]byte("\x01vorbis\x00\x00\x00\x00"), byte(channels))
	ident = binary.LittleEndian.AppendUint32(ident, 8000)
	ident = append(ident, make([]byte, 12)...)
	ident = append(ident, 0x76, 1)
	comment := append([]byte("\x03vorbis"), 0, 0, 0, 0, 0, 0, 0, 0, 1)
	w := &bitWriter{out: []byte("\x05vorbis"), bits: 7 * 8}
	w.put(8, 1) // two codebooks: a scalar one, and one of -1 and 1
	for book := range uint64(2) {
		w.all(24, 0x564342, 16, 1, 24, 2, 1, 0, 1, 0, 5, 0, 5, 0, 4, book)
	}
	w.all(32, 0xE280_0001, 32, 0x6280_0002, 4, 0, 1, 0, 1, 0, 1, 1) // least -1, step 2, one bit each: 0 and 1
	w.all(6, 0, 16, 0)                                              // time
	w.all(6, 0, 16, 1, 5, 1, 4, 0, 3, 0, 2, 1, 8, 0, 8, 0, 8, 1, 2, 1, 4, 6, 6, 20)
	w.all(6, 0, 16, kind, 24, 0, 24, 32, 24, 7, 6, 1, 8, 0) // residue: partitions of 8, two classes
	w.all(3, 0, 1, 0, 3, 1, 1, 0, 8, 1)
	w.all(6, 0, 16, 0, 1, 0)
	if channels == 2 {
		w.all(1, 1, 8, 0, 1, 0, 1, 1) // the second coupled to the first
	} else {
		w.put(1, 0)
	}
	w.all(2, 0, 8, 0, 8, 0, 8, 0)
	w.all(6, 1, 1, 0, 16, 0, 16, 0, 8, 0, 1, 1, 16, 0, 16, 0, 8, 0, 1, 1) // modes: short and long blocks
	return [][]byte{ident, comment, w.out}
}

// opusHeaders are the two headers of an Ogg Opus stream (RFC 7845, section 5).
func opusHeaders(channels byte) [][]byte {
	head := append([]byte("OpusHead\x01"), channels, 0, 0, 0x80, 0xBB, 0, 0, 0, 0)
	if channels > 2 {
		head = append(head, 1, channels-1, 1)
		for i := range channels {
			head = append(head, i)
		}
	} else {
		head = append(head, 0)
	}
	return [][]byte{head, append([]byte("OpusTags"), make([]byte, 8)...)}
}

// opusPackets are packets of one frame in every mode and bandwidth (RFC 6716,
// section 3.1).
func opusPackets() (out [][]byte) {
	for config := byte(0); config < 32; config += 3 {
		out = append(out, append([]byte{config<<3 | config&1<<2}, noise(30, uint64(config))...))
	}
	return out
}

// Every stream that a fuzz target begins with is one: it opens and gives frames.
func TestSeeds(t *testing.T) {
	t.Setenv("PATH", "")
	audio := [][]byte{noise(40, 1), noise(40, 2), noise(40, 3)}
	for _, p := range audio {
		p[0] &^= 1 // an audio packet begins with 0
	}
	files := map[string][]byte{
		"mp3":           silentMP3(4),
		"mp3 noise":     framedMP3("\xff\xfb\x90\x44", append(make([]byte, 413), noise(413*3, 4)...)),
		"vorbis mono":   paged(append(vorbisHeaders(1, 1), audio...), 3),
		"vorbis stereo": paged(append(vorbisHeaders(2, 2), audio...), 3),
		"opus":          paged(append(opusHeaders(2), opusPackets()...), 2),
	}
	for i, s := range flacSeeds() {
		files["flac "+string(rune('a'+i))] = append(append(flacStream(16), flacHeader(0x18)...), s...)
	}
	for name, b := range files {
		samples, f, notes, err := listen(b, fuzzLimit)
		if err != nil || len(samples) == 0 {
			t.Errorf("%s: %d samples, %+v, %v, %v", name, len(samples), f, notes, err)
		}
		if strings.HasPrefix(name, "flac") && (len(samples) != 512 || len(notes) > 0) {
			t.Errorf("%s: %d samples, %v", name, len(samples), notes)
		}
	}
	constant, _, _, _ := listen(files["flac a"], fuzzLimit)
	if len(constant) > 0 && constant[0] != 0x1234/32768. {
		t.Errorf("a constant subframe of 0x1234 gives %v", constant[0])
	}
	if !bytes.Equal((&bitWriter{first: true}).all(3, 5, 5, 1).out, []byte{0xA1}) || !bytes.Equal((&bitWriter{}).all(3, 5, 5, 1).out, []byte{0x0D}) {
		t.Error("bits are packed wrongly")
	}
}
