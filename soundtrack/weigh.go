package soundtrack

import (
	"slices"

	"lampblack/soundfile"
)

// weigher runs K-weighting on interleaved samples, sums power into blocks of
// 10 ms over all channels, and mixes to mono on the way.
type weigher struct {
	rate, channels int
	shelf, pass    biquad
	gain           []float64
	state          []weighState // per channel
	frame          int64        // frames seen
	blockEnd       int64        // frame at which the open block ends
	sum            float64      // of the open block
	count          int
	power          []float32 // closed blocks
}

// weighState is the memory of one channel's two sections (direct form II,
// transposed).
type weighState struct{ s1, s2, p1, p2 float64 }

// newWeigher weighs channels by their place in the order of WAV: surround counts more, the
// channel of low effects not at all (ITU-R BS.1770).
func newWeigher(rate, channels int) *weigher {
	w := &weigher{rate: rate, channels: channels, state: make([]weighState, channels)}
	w.shelf, w.pass = kWeighting(float64(rate))
	for c := range channels {
		w.gain = append(w.gain, channelWeight(c, channels))
	}
	w.blockEnd = w.endOf(0)
	return w
}

// endOf returns the first frame after block i; blocks of rates that 100 does
// not divide differ by one frame.
func (w *weigher) endOf(i int) int64 {
	return (int64(i+1)*int64(w.rate) + blockRate/2) / blockRate
}

// feed takes whole frames and appends their mono mix to mono.
func (w *weigher) feed(mono, samples []float32) []float32 {
	for len(samples) > 0 {
		n := min(int(w.blockEnd-w.frame), len(samples)/w.channels)
		part := samples[:n*w.channels]
		samples = samples[n*w.channels:]
		sum := w.filter(part)
		// The filters have taken the bad samples in by now and would ring with them for ever:
		// they start anew, on the part without them.
		if !(sum < absurd) {
			part = clean(part)
			clear(w.state)
			sum = w.filter(part)
		}
		mono = w.mix(mono, part)
		w.sum += sum
		w.count += n
		if w.frame += int64(n); w.frame == w.blockEnd {
			w.close()
		}
	}
	return mono
}

// filter runs the weighting on whole frames and returns the weighted sum of
// squares; it is no number when any sample is none.
func (w *weigher) filter(part []float32) (sum float64) {
	if w.channels == 2 {
		return w.stereo(part)
	}
	for c := range w.channels {
		p := w.channel(part, c)
		if !(p < absurd) {
			return p
		}
		sum += w.gain[c] * p
	}
	return sum
}

// absurd is a sum of squares that no sound reaches: full scale plus 120 dB for
// a second. It is how samples that are no numbers, infinite, or nonsense are
// noticed without looking at each.
const absurd = 1e17

// clean returns a copy with such samples put to zero.
func clean(part []float32) []float32 {
	out := make([]float32, len(part))
	for i, v := range part {
		if v > -1e6 && v < 1e6 {
			out[i] = v
		}
	}
	return out
}

// close ends a block; the last one of a sound may be short.
func (w *weigher) close() {
	if w.count > 0 {
		w.power = append(w.power, float32(w.sum/float64(w.count)))
	}
	w.sum, w.count = 0, 0
	w.blockEnd = w.endOf(len(w.power))
}

// channel filters channel c of the interleaved part and returns the sum of
// squares.
func (w *weigher) channel(part []float32, c int) (sum float64) {
	s, f, g := w.state[c], w.shelf, w.pass
	for i := c; i < len(part); i += w.channels {
		x := float64(part[i])
		y := f.b0*x + s.s1
		s.s1 = f.b1*x - f.a1*y + s.s2
		s.s2 = f.b2*x - f.a2*y
		z := y + s.p1 // the high-pass numerator is 1 -2 1
		s.p1 = -2*y - g.a1*z + s.p2
		s.p2 = y - g.a2*z
		sum += z * z
	}
	w.state[c] = s.settled()
	return sum
}

// stereo is channel for both channels of a pair in one loop, so that one
// filter's work fills the waits of the other's feedback.
func (w *weigher) stereo(part []float32) (sum float64) {
	l, r, f, g := w.state[0], w.state[1], w.shelf, w.pass
	for i := 0; i+1 < len(part); i += 2 {
		x, u := float64(part[i]), float64(part[i+1])
		y, v := f.b0*x+l.s1, f.b0*u+r.s1
		l.s1, r.s1 = f.b1*x-f.a1*y+l.s2, f.b1*u-f.a1*v+r.s2
		l.s2, r.s2 = f.b2*x-f.a2*y, f.b2*u-f.a2*v
		z, q := y+l.p1, v+r.p1
		l.p1, r.p1 = -2*y-g.a1*z+l.p2, -2*v-g.a1*q+r.p2
		l.p2, r.p2 = y-g.a2*z, v-g.a2*q
		sum += z*z + q*q
	}
	w.state[0], w.state[1] = l.settled(), r.settled()
	return sum
}

// settled drops what has decayed below hearing: numbers too small for their
// exponent ("denormals") are slow on many processors.
func (s weighState) settled() weighState {
	for _, v := range []*float64{&s.s1, &s.s2, &s.p1, &s.p2} {
		if *v < 1e-15 && *v > -1e-15 {
			*v = 0
		}
	}
	return s
}

// mix appends the mean of the channels.
func (w *weigher) mix(mono, part []float32) []float32 {
	from, n := len(mono), len(part)/w.channels
	mono = slices.Grow(mono, n)[:from+n]
	soundfile.MixMono(mono[from:], part, w.channels)
	return mono
}
