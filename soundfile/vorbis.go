package soundfile

import (
	"encoding/binary"
	"errors"
	"fmt"

	"github.com/jfreymuth/vorbis"
)

// vorbisCodec decodes Ogg Vorbis with a library whose header reader trusts what
// it reads; so the headers are checked here before it sees them.
type vorbisCodec struct {
	dec  vorbis.Decoder
	seen int // headers
	out  []float32
}

func isVorbisHead(p []byte) bool { return len(p) >= 7 && string(p[:7]) == "\x01vorbis" }

// noComments stands in for the comment header, which declares its own sizes and
// is not needed.
const noComments = "\x03vorbis\x00\x00\x00\x00\x00\x00\x00\x00\x01"

func (c *vorbisCodec) header(p []byte) (ready bool, err error) {
	defer func() {
		if r := recover(); r != nil {
			ready, err = false, fmt.Errorf("vorbis: damaged header: %v", r)
		}
	}()
	c.seen++
	kind := []byte{1, 3, 5}[c.seen-1]
	if len(p) < 7 || p[0] != kind || string(p[1:7]) != "vorbis" {
		return false, fmt.Errorf("vorbis: header %d is missing", c.seen)
	}
	switch c.seen {
	case 1:
		err = checkVorbisHead(p)
	case 2:
		p = []byte(noComments)
	case 3:
		err = checkVorbisSetup(p)
	}
	if err == nil {
		err = c.dec.ReadHeader(p)
	}
	if err != nil || c.seen < 3 {
		return false, err
	}
	c.out = make([]float32, c.dec.BufferSize())
	return true, nil
}

// checkVorbisHead checks the identification header (Vorbis I, section 4.2.2).
func checkVorbisHead(p []byte) error {
	if len(p) < 30 || binary.LittleEndian.Uint32(p[7:]) != 0 {
		return errors.New("vorbis: damaged identification header")
	}
	short, long := p[28]&15, p[28]>>4
	if short < 6 || long > 13 || short > long {
		return fmt.Errorf("vorbis: block sizes 2^%d and 2^%d: want 2^6 to 2^13", short, long)
	}
	f := Format{Codec: "vorbis", Channels: int(p[11]), Rate: int(min(binary.LittleEndian.Uint32(p[12:]), 1<<30))}
	return f.check()
}

func (c *vorbisCodec) decode(p []byte) ([]float32, error) {
	if len(p) == 0 || p[0]&1 != 0 {
		return nil, nil // no audio packet
	}
	out, err := c.dec.DecodeInto(p, c.out)
	if err != nil {
		return nil, err
	}
	toWAVOrder(out, c.dec.Channels())
	return out, nil
}

func (c *vorbisCodec) format() Format {
	return Format{Codec: "vorbis", Rate: c.dec.SampleRate(), Channels: c.dec.Channels(), Frames: -1}
}

func (c *vorbisCodec) skip() int64 { return 0 }
