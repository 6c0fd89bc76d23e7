package flac

// A header is that of a frame (9.1).
type header struct {
	block    int // frames of sound
	rate     int // Hz; 0: as STREAMINFO tells
	channels int
	stereo   int    // stereo decorrelation, below
	bits     int    // 0: as STREAMINFO tells
	variable bool   // number counts sound, not frames
	number   uint64 // of this frame, or of its first sample
	size     int    // bytes of the header, its check byte included
}

// Stereo decorrelation (9.1.3).
const (
	independent = iota
	leftSide
	rightSide // the side channel comes first
	midSide
)

// maxHeader is the longest header: 4 bytes, 7 of the coded number, 2 of block
// size, 2 of rate, 1 of check.
const maxHeader = 16

// parseHeader reads the header at b. It checks all that can be checked, since it
// also serves to find frames behind damage; short is true when b ends too early.
//
//	byte 0    11111111
//	byte 1    111110 0 v      v: number counts samples (variable block size)
//	byte 2    bbbb rrrr       codes of block size and rate
//	byte 3    cccc wwww       channels or stereo; width in the upper three, then 0
//	1 to 7    number
//	0 to 2    block size, when its code is 6 or 7
//	0 to 2    rate, when its code is 12 to 14
//	1         crc8 of all before
//
// Near the end of the buffer the header is read with zeros behind it, and short tells
// when it is a header that would need some of them.
func parseHeader(b []byte) (h header, ok, short bool) {
	if len(b) < maxHeader {
		var padded [maxHeader]byte
		copy(padded[:], b)
		h, ok, _ = parseHeader(padded[:])
		return h, ok && h.size <= len(b), ok && h.size > len(b)
	}
	if b[0] != 0xFF || b[1]&0xFE != 0xF8 || b[3]&1 != 0 {
		return h, false, false
	}
	h.variable = b[1]&1 != 0
	at := 4
	var n int
	if h.number, n = codedNumber(b[at:]); n == 0 {
		return h, false, false
	}
	at += n
	if n, ok = h.setBlock(int(b[2]>>4), b[at:]); !ok {
		return h, false, false
	}
	at += n
	if n, ok = h.setRate(int(b[2]&15), b[at:]); !ok {
		return h, false, false
	}
	at += n
	if !h.setChannels(int(b[3]>>4)) || !h.setBits(int(b[3]>>1&7)) {
		return h, false, false
	}
	h.size = at + 1
	return h, crc8(b[:at]) == b[at], false
}

// codedNumber reads a number in the manner of UTF-8, of up to 36 bits (9.1.5): the
// ones that b[0] begins with are the number of bytes, each further byte is 10 and six
// bits. n is 0 for what is no such number.
func codedNumber(b []byte) (v uint64, n int) {
	switch {
	case b[0] < 0x80:
		return uint64(b[0]), 1
	case b[0] < 0xC0 || b[0] == 0xFF:
		return 0, 0
	}
	n = 2
	for b[0]<<n&0x80 != 0 {
		n++
	}
	v = uint64(b[0]) & (0x7F >> n)
	for _, c := range b[1:n] {
		if c&0xC0 != 0x80 {
			return 0, 0
		}
		v = v<<6 | uint64(c&0x3F)
	}
	return v, n
}

// setBlock reads the block size (9.1.1).
func (h *header) setBlock(code int, more []byte) (n int, ok bool) {
	switch {
	case code == 0:
		return 0, false
	case code == 1:
		h.block = 192
	case code <= 5:
		// 2 to 5 are 576 to 4608, 8 to 15 are 256 to 32768.
		h.block = 144 << code
	case code == 6:
		h.block, n = int(more[0])+1, 1
	case code == 7:
		h.block, n = int(more[0])<<8+int(more[1])+1, 2
	default:
		h.block = 1 << code
	}
	return n, true
}

// rateCodes are the rates of codes 1 to 11, in Hz (9.1.2).
var rateCodes = [12]int{0, 88200, 176400, 192000, 8000, 16000, 22050, 24000, 32000, 44100, 48000, 96000}

// setRate reads the rate (9.1.2).
func (h *header) setRate(code int, more []byte) (n int, ok bool) {
	switch {
	case code < len(rateCodes):
		h.rate = rateCodes[code]
		return 0, true
	case code == 12:
		h.rate = int(more[0]) * 1000
		return 1, true
	case code == 15:
		return 0, false
	}
	h.rate = int(more[0])<<8 | int(more[1])
	if code == 14 {
		h.rate *= 10
	}
	return 2, true
}

// setChannels reads the channels (9.1.3): up to eight as they are, or two of which one, the
// side, is their difference; codes 8, 9 and 10 are leftSide, rightSide and midSide.
func (h *header) setChannels(code int) bool {
	if code < 8 {
		h.channels = code + 1
		return true
	}
	h.channels, h.stereo = 2, code-7
	return code <= 10
}

// setBits reads the sample width (9.1.4); code 3 is reserved.
func (h *header) setBits(code int) bool {
	h.bits = [8]int{0, 8, 12, -1, 16, 20, 24, 32}[code]
	return h.bits >= 0
}
