package soundfile

import (
	"encoding/binary"
	"errors"
	"fmt"
	"math"

	"github.com/pion/opus"
)

const (
	opusRate = 48000
	// opusMax is the longest packet, 120 ms (RFC 6716, section 3.4).
	opusMax = opusRate * 120 / 1000
)

// opusCodec decodes Ogg Opus (RFC 7845). With more than two channels a packet
// holds several Opus packets, of which the first few are in stereo.
type opusCodec struct {
	seen     int // headers
	channels int
	preSkip  int
	gain     float32
	mapping  []byte // for each output channel the decoded one; 255 is silence
	streams  []*opusStream
	out      []float32
}

// opusStream is one of the streams of a packet.
type opusStream struct {
	dec      opus.Decoder
	channels int
	pcm      []float32
	frames   int // in pcm
}

func isOpusHead(p []byte) bool { return len(p) >= 8 && string(p[:8]) == "OpusHead" }

// header takes the two packets before the sound: what the stream is, and comments, which
// nobody here reads but which must be there (RFC 7845, section 3).
func (c *opusCodec) header(p []byte) (ready bool, err error) {
	c.seen++
	if c.seen == 1 {
		return false, c.parseHead(p)
	}
	if len(p) < 8 || string(p[:8]) != "OpusTags" {
		return false, errors.New("opus: the comment header is missing")
	}
	return true, nil
}

// parseHead reads the identification header (RFC 7845, section 5.1), lowest byte first:
//
//	 0  "OpusHead"                    16  gain to apply, 1/256 dB, signed
//	 8  version; the high half is 0   18  mapping family; if it is not 0:
//	 9  channels                      19  streams
//	10  pre-skip, frames at 48 kHz    20  of which in stereo
//	12  rate of the original, unused  21  for each channel its decoded one
//
// The gain is part of what the file says and not a matter of taste: players must apply it.
func (c *opusCodec) parseHead(p []byte) error {
	if len(p) < 19 || p[8]>>4 != 0 {
		return errors.New("opus: damaged identification header")
	}
	c.channels = int(p[9])
	c.preSkip = int(binary.LittleEndian.Uint16(p[10:]))
	gain := int16(binary.LittleEndian.Uint16(p[16:])) // dB in 1/256
	c.gain = float32(math.Pow(10, float64(gain)/256/20))
	// Family 0: one stream, mono or stereo.
	count, coupled := 1, c.channels-1
	c.mapping = []byte{0, 1}
	if family := p[18]; family != 0 {
		if len(p) < 21+c.channels {
			return errors.New("opus: damaged channel mapping")
		}
		count, coupled = int(p[19]), int(p[20])
		c.mapping = append([]byte(nil), p[21:21+c.channels]...)
	} else if c.channels > 2 {
		return fmt.Errorf("opus: %d channels in mapping family 0", c.channels)
	}
	if err := c.format().check(); err != nil {
		return err
	}
	if count < 1 || coupled > count || count+coupled > 255 || coupled < 0 {
		return fmt.Errorf("opus: %d streams of which %d are stereo", count, coupled)
	}
	return c.makeStreams(count, coupled)
}

// makeStreams makes a decoder for each stream; those in stereo come first.
func (c *opusCodec) makeStreams(count, coupled int) error {
	if count > maxChannels {
		return fmt.Errorf("opus: %d streams", count)
	}
	for i := range count {
		s := &opusStream{channels: 1}
		if i < coupled {
			s.channels = 2
		}
		var err error
		if s.dec, err = opus.NewDecoderWithOutput(opusRate, s.channels); err != nil {
			return fmt.Errorf("opus: %w", err)
		}
		s.pcm = make([]float32, opusMax*s.channels)
		c.streams = append(c.streams, s)
	}
	return nil
}

// decode decodes all streams of a packet. Of one that is damaged its time is kept
// in silence.
func (c *opusCodec) decode(p []byte) ([]float32, error) {
	frames := opusFrames(p)
	if frames == 0 {
		return nil, errors.New("opus: damaged packet")
	}
	c.out = append(c.out[:0], make([]float32, frames*c.channels)...)
	var fault error
	for i, s := range c.streams {
		one := p
		if i < len(c.streams)-1 {
			var err error
			if one, p, err = cutSelfDelimited(p); err != nil {
				return c.out, err
			}
		}
		if err := s.decode(one); err != nil {
			fault = err
		}
	}
	c.mix(frames)
	return c.out, fault
}

// decode decodes one stream's packet. A panic is caught here and not further out, so that
// the other streams of the packet still sound.
func (s *opusStream) decode(p []byte) (err error) {
	defer func() {
		if r := recover(); r != nil {
			s.frames, err = 0, fmt.Errorf("opus: %v", r)
		}
	}()
	s.frames, err = s.dec.DecodeToFloat32(p, s.pcm)
	if err != nil {
		s.frames = 0
	}
	return err
}

// mix places the decoded channels in the output. from lists them as the mapping counts
// them: both channels of each stereo stream, then the mono ones. A stream that gave fewer
// frames than the packet declares, or none, leaves the silence that c.out was made of.
func (c *opusCodec) mix(frames int) {
	var from [256]struct {
		s  *opusStream
		ch int
	}
	n := 0
	for _, s := range c.streams {
		for ch := range s.channels {
			from[n].s, from[n].ch = s, ch
			n++
		}
	}
	for ch := range c.channels {
		f := from[c.mapping[ch]]
		if f.s == nil {
			continue
		}
		for i := range min(frames, f.s.frames) {
			c.out[i*c.channels+ch] = f.s.pcm[i*f.s.channels+f.ch] * c.gain
		}
	}
	toWAVOrder(c.out, c.channels)
}

func (c *opusCodec) format() Format {
	return Format{Codec: "opus", Rate: opusRate, Channels: c.channels, Frames: -1}
}

func (c *opusCodec) skip() int64 { return int64(c.preSkip) }

// opusFrames returns how many frames of sound a packet holds, at 48 kHz, or 0
// when it is damaged (RFC 6716, sections 3.1 and 3.2). Its first byte, from the highest
// bit: 5 of configuration, which tells mode, band and length of a frame; 1 of stereo; 2 of
// count: one frame, two of one size, two of two sizes, or as many as the next byte says.
func opusFrames(p []byte) int {
	if len(p) == 0 {
		return 0
	}
	config := int(p[0] >> 3)
	var size int
	switch {
	case config < 12: // 10, 20, 40, 60 ms
		size = []int{480, 960, 1920, 2880}[config%4]
	case config < 16: // 10, 20 ms
		size = []int{480, 960}[config%2]
	default: // 2.5, 5, 10, 20 ms
		size = 120 << (config % 4)
	}
	count := []int{1, 2, 2, 0}[p[0]&3]
	if count == 0 {
		if len(p) < 2 {
			return 0
		}
		count = int(p[1] & 0x3F)
	}
	if size*count > opusMax {
		return 0
	}
	return size * count
}
