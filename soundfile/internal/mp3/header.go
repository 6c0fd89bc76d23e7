package mp3

// Version is the generation of the standard that a frame follows.
type Version uint8

// The versions. MPEG-2 and 2.5 halve and quarter the rates of MPEG-1 and carry
// one granule a frame.
const (
	MPEG1 Version = iota
	MPEG2
	MPEG25
)

// A Header is the fixed start of a frame (2.4.1.3), decoded.
type Header struct {
	Version  Version
	Rate     int // Hz
	Channels int
	Bitrate  int  // bit/s; 0 for "free" format
	padding  int  // bytes
	crc      bool // two bytes of check word follow the header
	joint    bool
	ms, is   bool // mid/side and intensity coding, in joint stereo
}

// bitrates in kbit/s by index: MPEG-1, then MPEG-2 and 2.5 (2.4.2.3; 13818-3, 2.4.2.3).
var bitrates = [2][15]int{
	{0, 32, 40, 48, 56, 64, 80, 96, 112, 128, 160, 192, 224, 256, 320},
	{0, 8, 16, 24, 32, 40, 48, 56, 64, 80, 96, 112, 128, 144, 160},
}

var rates = [3]int{44100, 48000, 32000} // of MPEG-1

// ParseHeader reads the four bytes of a header. It refuses reserved values and
// the other layers.
//
//	byte 0    11111111      the sync word is 11 bits
//	byte 1    111 vv ll p   version: 0 MPEG-2.5, 2 MPEG-2, 3 MPEG-1; layer: 1 is III;
//	                        p is 0 where a check word follows
//	byte 2    bbbb rr p x   indices of bit rate and rate; padding; private
//	byte 3    mm ee c o hh  mode: 1 joint, 3 mono; what is joint; copyright; original;
//	                        emphasis
func ParseHeader(b []byte) (h Header, ok bool) {
	if len(b) < 4 || b[0] != 0xFF || b[1]&0xE0 != 0xE0 {
		return h, false
	}
	version, layer, protection := b[1]>>3&3, b[1]>>1&3, b[1]&1
	bitrate, rate := b[2]>>4, b[2]>>2&3
	mode, ext, emphasis := b[3]>>6, b[3]>>4&3, b[3]&3
	if version == 1 || layer != 1 || bitrate == 15 || rate == 3 || emphasis == 2 {
		return h, false
	}
	h.Version = [4]Version{MPEG25, 0, MPEG2, MPEG1}[version]
	h.Rate = rates[rate] >> h.Version
	h.Bitrate = bitrates[min(h.Version, 1)][bitrate] * 1000
	h.padding = int(b[2] >> 1 & 1)
	h.crc = protection == 0
	h.Channels = 2
	if mode == 3 {
		h.Channels = 1
	}
	h.joint = mode == 1
	h.is = h.joint && ext&1 != 0
	h.ms = h.joint && ext&2 != 0
	return h, true
}

// Samples returns the frames of sound (samples a channel) that one frame makes.
func (h Header) Samples() int { return lines * h.granules() }

// granules of a frame: half the sound a frame at half the rate keeps its time the same.
func (h Header) granules() int {
	if h.Version == MPEG1 {
		return 2
	}
	return 1
}

// size returns the bytes of the frame, header included; 0 in free format. A frame has
// an eighth of (samples · bits a second / samples a second) bytes, rounded down; padding
// makes up for what the rounding leaves, now and then.
func (h Header) size() int {
	if h.Bitrate == 0 {
		return 0
	}
	return h.Samples()/8*h.Bitrate/h.Rate + h.padding
}

// sideSize returns the bytes of side information (2.4.1.7; 13818-3, 2.4.1.7).
func (h Header) sideSize() int {
	switch {
	case h.Version == MPEG1 && h.Channels == 2:
		return 32
	case h.Version == MPEG1 || h.Channels == 2:
		return 17
	}
	return 9
}

// sideStart returns where the side information begins in the frame.
func (h Header) sideStart() int {
	if h.crc {
		return 6
	}
	return 4
}

// alike tells whether two frames can belong to one stream. Channels may change:
// some encoders send silence in mono.
func (h Header) alike(o Header) bool {
	return h.Version == o.Version && h.Rate == o.Rate && (h.Bitrate == 0) == (o.Bitrate == 0)
}

// band selects the row of the band tables: 44.1, 48 and 32 kHz of each version.
func (h Header) band() int {
	row := 0
	for i, r := range rates {
		if h.Rate == r>>h.Version {
			row = i
		}
	}
	return int(h.Version)*3 + row
}
