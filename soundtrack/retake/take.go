package retake

import (
	"time"

	"lampblack/soundfile"
)

// A take is a track of which the signal itself is at hand.
type take struct {
	duration time.Duration
	signal   []float32 // high-passed, at rate
	codes    [][]uint32
	level    []uint8
}

// shifts are the factors of frequency at which a new take is coded: a tape at
// another speed has its bands elsewhere. A band is 6.5 % wide, so that steps of
// 1 % are fine enough.
var shifts = []float64{1, 0.97, 0.98, 0.99, 1.01, 1.02, 1.03}

// readTake reads a stream to its end and codes it at all shifts.
func readTake(s soundfile.Stream) (*take, error) {
	f := s.Format()
	t := &take{signal: make([]float32, 0, expected(f))}
	c := newCoder(shifts)
	frames, err := eachPiece(s, func(piece []float32) {
		c.add(piece)
		t.signal = append(t.signal, piece...)
	})
	if err != nil {
		return nil, err
	}
	c.finish(len(t.signal))
	highPass(t.signal)
	t.codes, t.level = c.codes, levels(c.power)
	t.duration = duration(frames, f.Rate)
	return t, nil
}

// expected is how many samples at rate the stream says that it makes, within two
// hours: room that is not filled costs no memory.
func expected(f soundfile.Format) int {
	return int(min(max(f.Seconds()*rate, 0), 2*3600*rate)) + frameLength
}

// readSigns reads n signs of the signal at positions start, start+step, …, between
// samples on a cubic through four of them (Catmull and Rom's). Outside the signal signs are
// 0, as those of a print are.
func (t *take) readSigns(dst []uint64, start, step float64, n int) []uint64 {
	dst = dst[:0]
	x := t.signal
	for k := 0; k < n; k += 64 {
		var w uint64
		for b := range min(64, n-k) {
			p := start + step*float64(k+b)
			i := int(p)
			if i < 1 || i+2 >= len(x) || p < 0 {
				continue
			}
			f := float32(p - float64(i))
			a, b0, c, d := x[i-1], x[i], x[i+1], x[i+2]
			v := b0 + 0.5*f*(c-a+f*(2*a-5*b0+4*c-d+f*(3*(b0-c)+d-a)))
			if v > 0 {
				w |= 1 << b
			}
		}
		dst = append(dst, w)
	}
	return dst
}
