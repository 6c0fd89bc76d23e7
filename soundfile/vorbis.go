package soundfile

import (
	"errors"

	"lampblack/soundfile/internal/vorbis"
)

// vorbisCodec decodes the packets of Vorbis in Ogg.
type vorbisCodec struct {
	dec   *vorbis.Decoder
	ident []byte
	seen  int // headers
}

func isVorbisHead(p []byte) bool { return len(p) >= 7 && string(p[:7]) == "\x01vorbis" }

// header takes the three headers in their order (Vorbis I, section 4.2.1). Tags in the
// second are not read.
func (c *vorbisCodec) header(p []byte) (ready bool, err error) {
	c.seen++
	switch c.seen {
	case 1:
		c.ident = append([]byte(nil), p...)
		return false, nil
	case 2:
		if len(p) < 7 || string(p[:7]) != "\x03vorbis" {
			return false, errors.New("vorbis: the comment header is missing")
		}
		return false, nil
	}
	c.dec, err = vorbis.NewDecoder(c.ident, p)
	return err == nil, err
}

// decode decodes a packet of sound. The first one after a start or a reset gives nothing: half
// of its block waits for the next to overlap with.
func (c *vorbisCodec) decode(p []byte) ([]float32, error) {
	if len(p) == 0 || p[0]&1 != 0 {
		return nil, nil // not audio
	}
	out, err := c.dec.Decode(p)
	// The next good packet must not overlap with one from before the damage.
	if err != nil {
		c.dec.Reset()
		return nil, err
	}
	toWAVOrder(out, c.dec.Channels)
	return out, nil
}

func (c *vorbisCodec) format() Format {
	return Format{Codec: "vorbis", Rate: c.dec.Rate, Channels: c.dec.Channels, Frames: -1}
}

func (c *vorbisCodec) skip() int64 { return 0 }
