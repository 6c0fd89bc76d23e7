package soundfile

import (
	"errors"
	"fmt"
	"io"
)

// Limits of what a file may declare. Rates outside are no sound for people;
// 64 channels are more than any file of a stage soundtrack holds.
const (
	minRate     = 1000
	maxRate     = 768000
	maxChannels = 64
)

// Format says what a stream holds.
type Format struct {
	Codec    string // "wav", "flac", "mp3", "vorbis", "opus", or "ffmpeg" where that program decodes
	Rate     int    // frames a second, Hz
	Channels int
	Frames   int64 // length in frames; -1 when only the end of the stream will tell
	Bits     int   // bits a sample in the file; 0 where the codec has no such thing
}

// Seconds returns the length in seconds, or -1 when it is not known.
func (f Format) Seconds() float64 {
	if f.Frames < 0 || f.Rate <= 0 {
		return -1
	}
	return float64(f.Frames) / float64(f.Rate)
}

// check holds a format to what all that follows is made for, so that a hostile header cannot
// ask for memory or tables without end.
func (f Format) check() error {
	if f.Rate < minRate || f.Rate > maxRate {
		return fmt.Errorf("%s: sampling rate of %d Hz: want %d Hz to %d Hz", f.Codec, f.Rate, minRate, maxRate)
	}
	if f.Channels < 1 || f.Channels > maxChannels {
		return fmt.Errorf("%s: %d channels: want 1 to %d", f.Codec, f.Channels, maxChannels)
	}
	return nil
}

// A Stream yields the samples of one file in order. It is for one goroutine.
type Stream interface {
	Format() Format
	// Read fills dst with interleaved samples and returns the number of whole
	// frames. It returns at least one frame with a nil error, or 0 and an error;
	// the error is io.EOF at the end. A dst shorter than one frame gives
	// io.ErrShortBuffer.
	Read(dst []float32) (frames int, err error)
	// Close frees what the stream holds; a stream need not be read to its end.
	Close() error
}

var errClosed = errors.New("soundfile: read of a closed stream")

// Notes returns what was found wrong in the file but could be read past, as
// short phrases in the order found: complete only once the stream has ended.
func Notes(s Stream) []string {
	if n, ok := s.(interface{ notes() []string }); ok {
		return n.notes()
	}
	return nil
}

// A decoder is one codec behind a pcm stream.
type decoder interface {
	// next returns the next samples, whole frames, valid until the next call.
	// An empty block with a nil error is allowed; (nil, io.EOF) is the end.
	next() ([]float32, error)
	// remarks returns what was read past so far.
	remarks() []string
	// close frees what the decoder holds.
	close() error
}

// pcm makes a Stream of a decoder: it buffers, keeps bad samples out, holds on
// to the first error and turns panics into one.
type pcm struct {
	format Format
	dec    decoder
	rest   []float32 // decoded, not yet handed out
	given  int64     // frames handed out
	more   bool      // the file holds more than Frames
	bad    int64     // samples put to zero
	err    error     // sticky
}

func newStream(f Format, d decoder) (Stream, error) {
	if err := f.check(); err != nil {
		d.close()
		return nil, err
	}
	return &pcm{format: f, dec: d}, nil
}

func (p *pcm) Format() Format { return p.format }

// Read gives whole frames, as many as fit. An error comes when all before it has been given.
func (p *pcm) Read(dst []float32) (int, error) {
	ch := p.format.Channels
	want := len(dst) / ch
	if want == 0 {
		return 0, io.ErrShortBuffer
	}
	// A declared length is kept to, also when the file holds more; that it does is noted, by
	// looking for one block behind the end.
	if p.format.Frames >= 0 {
		want = int(min(int64(want), p.format.Frames-p.given))
		if want == 0 && p.err == nil {
			p.more = len(p.rest) > 0 || p.fill()
			p.rest, p.err = nil, io.EOF
		}
	}
	n := 0
	for n < want {
		if len(p.rest) == 0 && !p.fill() {
			break
		}
		k := copy(dst[n*ch:want*ch], p.rest)
		p.rest = p.rest[k:]
		n += k / ch
	}
	p.given += int64(n)
	if n == 0 {
		return 0, p.err
	}
	return n, nil
}

// fill fetches the next block that is not empty. The limit on empty blocks in a
// row keeps a decoder that makes no way from hanging its caller.
func (p *pcm) fill() bool {
	const patience = 1 << 20
	for range patience {
		if p.err != nil {
			return false
		}
		block, err := p.nextBlock()
		if err != nil {
			p.err = err
		}
		if len(block) > 0 {
			p.bad += silenceBad(block)
			p.rest = block
			return true
		}
	}
	p.err = fmt.Errorf("%s: no sound in %d blocks", p.format.Codec, patience)
	return false
}

// nextBlock calls the decoder. What it returns is cut to whole frames, so that a decoder's
// slip cannot shift the channels from there on.
func (p *pcm) nextBlock() (block []float32, err error) {
	defer func() {
		if r := recover(); r != nil {
			block, err = nil, fmt.Errorf("%s: damaged beyond what its decoder can read: %v", p.format.Codec, r)
		}
	}()
	block, err = p.dec.next()
	return block[:len(block)/p.format.Channels*p.format.Channels], err
}

func (p *pcm) Close() error {
	if p.err == nil || errors.Is(p.err, io.EOF) {
		p.err = errClosed
	}
	p.rest = nil
	return p.dec.close()
}

// The wording is for people: notes are shown beside the name of the file.
func (p *pcm) notes() []string {
	out := append([]string(nil), p.dec.remarks()...)
	if errors.Is(p.err, io.EOF) && p.given < p.format.Frames {
		out = append(out, fmt.Sprintf("the file declares %d frames and holds %d", p.format.Frames, p.given))
	}
	if p.more {
		out = append(out, fmt.Sprintf("the file holds more than the %d frames that it declares: the rest is left out", p.format.Frames))
	}
	if p.bad > 0 {
		out = append(out, fmt.Sprintf("%d samples that are no number, or absurd, were put to zero", p.bad))
	}
	return out
}

// absurd is the size at which a sample is taken for damage: 120 dB over full scale.
const absurd = 1e6

// silenceBad zeroes NaN, infinities and absurd values and counts them. The
// comparison is written so that NaN fails it.
func silenceBad(s []float32) (bad int64) {
	for i, v := range s {
		if !(v < absurd && v > -absurd) {
			s[i] = 0
			bad++
		}
	}
	return bad
}
