package retake

import (
	"math"

	"lampblack/soundfile/fourier"
)

const (
	frameLength = 2048 // samples of a code's frame: 0.41 s
	hop         = 125  // samples between frames: 25 ms
	codeBits    = 32
	lowestBand  = 250.0  // Hz
	highestBand = 2000.0 // Hz
)

// A coder turns the signal into codes, for one or several shifts of the bands at
// once. Frame n is centred on sample n·hop.
type coder struct {
	window []float32
	fft    *fourier.Transform
	work   []complex64
	edges  [][]float64 // by shift: band edges in bins
	bins   []float64   // running sum of power
	signal []float32   // from sample start on
	start  int
	last   [][]float64 // by shift: band differences of the last frame
	codes  [][]uint32  // by shift
	power  []float32   // of each frame
}

// newCoder codes with the bands at each of the given factors of frequency.
func newCoder(shifts []float64) *coder {
	c := &coder{fft: fourier.New(frameLength), work: make([]complex64, frameLength)}
	c.window = make([]float32, frameLength)
	for i := range c.window {
		c.window[i] = float32(0.5 - 0.5*math.Cos(2*math.Pi*(float64(i)+0.5)/frameLength))
	}
	for _, f := range shifts {
		e := make([]float64, codeBits+2)
		for i := range e {
			hz := f * lowestBand * math.Pow(highestBand/lowestBand, float64(i)/(codeBits+1))
			e[i] = hz / rate * frameLength
		}
		c.edges = append(c.edges, e)
		c.last = append(c.last, make([]float64, codeBits))
	}
	c.codes = make([][]uint32, len(shifts))
	c.bins = make([]float64, frameLength/2+1)
	c.signal = make([]float32, frameLength/2) // silence in front: frame 0 is centred on 0
	c.start = -frameLength / 2
	return c
}

// add takes more signal and codes the frames that it completes, two at a time.
func (c *coder) add(x []float32) {
	c.signal = append(c.signal, x...)
	for len(c.signal) >= frameLength+hop {
		c.pair()
		c.signal = c.signal[:copy(c.signal, c.signal[2*hop:])]
		c.start += 2 * hop
	}
}

// finish codes what is left, silence behind.
func (c *coder) finish(samples int) {
	frames := samples/hop + 1
	c.add(make([]float32, frameLength+2*hop))
	for s := range c.codes {
		c.codes[s] = c.codes[s][:min(frames, len(c.codes[s]))]
	}
	c.power = c.power[:min(frames, len(c.power))]
}

// pair transforms two frames at once, as the real and imaginary part of one. The
// spectrum X of a real a and b in x = a + i·b is taken apart by symmetry, A(k) = (X(k) +
// X*(n-k))/2 and B(k) = (X(k) - X*(n-k))/2i; the halves are left out here, since only power
// is compared with power.
func (c *coder) pair() {
	a, b := c.signal[:frameLength], c.signal[hop:hop+frameLength]
	for i, w := range c.window {
		c.work[i] = complex(a[i]*w, b[i]*w)
	}
	x := c.fft.Run(c.work)
	for second := range 2 {
		sum := 0.0
		c.bins[0] = 0
		for k := 1; k <= frameLength/2; k++ {
			u, v := x[k], x[(frameLength-k)%frameLength]
			re, im := real(u)+real(v), imag(u)-imag(v)
			if second == 1 {
				re, im = imag(u)+imag(v), real(u)-real(v)
			}
			sum += float64(re*re + im*im)
			c.bins[k] = sum
		}
		c.code()
	}
}

// code makes the codes of one frame from its running sum of power. Bit m is set when
// the fall from band m to band m+1 is larger than it was in the frame before: loudness and
// even filters, which change slowly, leave it as it is.
func (c *coder) code() {
	for s, edges := range c.edges {
		var code uint32
		last := c.last[s]
		low := c.upTo(edges[0])
		mid := c.upTo(edges[1])
		for m := range codeBits {
			high := c.upTo(edges[m+2])
			d := (mid - low) - (high - mid)
			if d > last[m] {
				code |= 1 << m
			}
			last[m] = d
			low, mid = mid, high
		}
		c.codes[s] = append(c.codes[s], code)
	}
	e := c.edges[0]
	c.power = append(c.power, float32(c.upTo(e[len(e)-1])-c.upTo(e[0])))
}

// upTo returns the power below a fractional bin: band edges seldom fall on a line, and
// with shifted bands never on the same.
func (c *coder) upTo(bin float64) float64 {
	k := int(bin)
	if k+1 >= len(c.bins) {
		return c.bins[len(c.bins)-1]
	}
	return c.bins[k] + (bin-float64(k))*(c.bins[k+1]-c.bins[k])
}

// quietBelow is how far under the loud frames a frame is quiet, and quietFloor
// what is quiet in any track: power of a full-scale tone is about frameLength²/8
// times 4 here.
const (
	quietBelow = 1e-5 // 50 dB
	quietFloor = 1e-9 * frameLength * frameLength / 2
)

// levels gives the level of each frame in half decibels, 255 for that of a
// full-scale tone, and 0 for frames that are too quiet to be told apart. What is
// loud is measured by the power that one frame in twenty exceeds.
func levels(power []float32) []uint8 {
	limit := math.Max(quietFloor, quietBelow*float64(quantile(power, 0.95)))
	out := make([]uint8, len(power))
	for i, p := range power {
		if float64(p) < limit {
			continue
		}
		db := 10 * math.Log10(float64(p)/(frameLength*frameLength/2))
		out[i] = uint8(min(max(255+2*db, 1), 255))
	}
	return out
}
