package retake

import (
	"time"

	"lampblack/soundfile"
)

// A Print is what is remembered of a track: a code for each frame, by which places are found,
// and a sign for each sample at rate, by which they are made exact. An hour takes some 3 MB.
type Print struct {
	duration time.Duration
	codes    []uint32
	level    []uint8 // of each frame, as levels gives it: 0 when quiet
	signs    signs
}

// Take makes the print of a track. It reads the stream to its end and does not
// close it.
func Take(s soundfile.Stream) (*Print, error) {
	c := newCoder([]float64{1})
	var x signBuilder
	frames, err := eachPiece(s, func(piece []float32) {
		c.add(piece)
		x.add(piece)
	})
	if err != nil {
		return nil, err
	}
	p := &Print{duration: duration(frames, s.Format().Rate), signs: x.finish()}
	c.finish(p.signs.n)
	p.codes, p.level = c.codes[0], levels(c.power)
	return p, nil
}

// duration is frames/rate s, without overflow.
func duration(frames int64, rate int) time.Duration {
	whole, part := frames/int64(rate), frames%int64(rate)
	return time.Duration(whole)*time.Second + time.Duration(part)*time.Second/time.Duration(rate)
}

// signs are one bit a sample: 1 for above zero.
type signs struct {
	words []uint64
	n     int
}

// set notes the sign of sample i, which is one of those there are or the next.
func (s *signs) set(i int, positive bool) {
	if i>>6 >= len(s.words) {
		s.words = append(s.words, 0)
	}
	if positive {
		s.words[i>>6] |= 1 << (i & 63)
	}
	s.n = max(s.n, i+1)
}

// word returns 64 signs from sample i on; outside there are zeros.
func (s *signs) word(i int) uint64 {
	if i < 0 {
		if i <= -64 {
			return 0
		}
		return s.word(0) << -i
	}
	k, shift := i>>6, i&63
	if k >= len(s.words) {
		return 0
	}
	w := s.words[k] >> shift
	if shift > 0 && k+1 < len(s.words) {
		w |= s.words[k+1] << (64 - shift)
	}
	return w
}

// signBuilder takes signs of the high-passed signal as it comes.
type signBuilder struct {
	out  signs
	past []float32 // not yet certain
	seen int       // samples of past that are already out
}

// add high-passes overlapping pieces, so that the cut into pieces does not show: signs
// within margin of an end of past wait, or were out already, as the mean about them needs
// what lies beyond.
func (b *signBuilder) add(x []float32) {
	const margin, piece = 16, 16384
	b.past = append(b.past, x...)
	if len(b.past) < piece {
		return
	}
	b.flush(len(b.past) - margin)
	keep := len(b.past) - 2*margin
	b.past = b.past[:copy(b.past, b.past[keep:])]
	b.seen = margin
}

// flush sets the signs of past up to sample end.
func (b *signBuilder) flush(end int) {
	y := append([]float32(nil), b.past...)
	highPass(y)
	for _, v := range y[b.seen:max(end, b.seen)] {
		b.out.set(b.out.n, v > 0)
	}
}

func (b *signBuilder) finish() signs {
	b.flush(len(b.past))
	return b.out
}
