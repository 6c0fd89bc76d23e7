package mp3

import "encoding/binary"

// A Tag is what the Xing or Info frame at the head of a file tells about it. No
// standard describes it; its fields are those that LAME documents in "Mp3 Info
// Tag, revision 1", and the arithmetic is checked against other decoders.
type Tag struct {
	Frames  int64 // audio frames behind the tag; 0 when not told
	Bytes   int64 // of the tag's frame and all audio frames; 0 when not told
	Delay   int   // samples that the encoder put in front
	Padding int   // samples that the encoder put behind
	Trimmed bool  // Delay and Padding were told
}

// DecoderDelay is the delay of a layer III decoder in samples: what an encoder's
// Delay does not count. Both are cut off in front of the music, else every cue is late.
const DecoderDelay = 528 + 1

// ParseTag reads the tag of the first frame. ok is true for frames that hold a
// tag and no sound, of the VBRI kind too, whose trimming is not known.
func ParseTag(h Header, frame []byte) (t Tag, ok bool) {
	if len(frame) >= 36+18 && string(frame[36:40]) == "VBRI" {
		t.Bytes = int64(binary.BigEndian.Uint32(frame[46:]))
		t.Frames = int64(binary.BigEndian.Uint32(frame[50:]))
		return t, true
	}
	// Encoders write the tag behind the side information, and some do not count
	// the check word of a protected frame.
	for _, start := range []int{4, 6} {
		at := start + h.sideSize()
		if len(frame) >= at+8 && (string(frame[at:at+4]) == "Xing" || string(frame[at:at+4]) == "Info") {
			return parseXing(frame[at+4:]), true
		}
	}
	return t, false
}

// parseXing reads the flags and the fields that they announce, behind "Xing" or "Info":
//
//	4 bytes   flags: 1 frames, 2 bytes, 4 table, 8 quality
//	4         frames        each only if its flag is set
//	4         bytes
//	100       table of contents, for jumping
//	4         quality
//	9         the encoder's name; what stands behind is there only if that is
//	12        other matters
//	3         delay and padding, 12 bits each
//
// A field that the frame is too short for counts as not told.
func parseXing(b []byte) (t Tag) {
	flags := binary.BigEndian.Uint32(b)
	b = b[4:]
	take := func(bit uint32, n int) []byte {
		if flags&bit == 0 || len(b) < n {
			return nil
		}
		f := b[:n]
		b = b[n:]
		return f
	}
	if f := take(1, 4); f != nil {
		t.Frames = int64(binary.BigEndian.Uint32(f))
	}
	if f := take(2, 4); f != nil {
		t.Bytes = int64(binary.BigEndian.Uint32(f))
	}
	take(4, 100) // table of contents
	take(8, 4)   // quality
	// Behind stand 9 bytes of the encoder's name, 12 of other matters, and two
	// numbers of 12 bits each.
	if len(b) >= 24 && b[0] >= ' ' && b[0] < 0x7F {
		t.Delay = int(b[21])<<4 | int(b[22])>>4
		t.Padding = int(b[22]&15)<<8 | int(b[23])
		t.Trimmed = t.Delay|t.Padding != 0
	}
	return t
}
