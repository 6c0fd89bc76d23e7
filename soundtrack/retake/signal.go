package retake

import (
	"errors"
	"io"
	"math"

	"lampblack/soundfile"
)

// rate is that of the signal which prints are made of, Hz: enough for the bands
// of the codes, and for times to a fraction of 0.2 ms.
const rate = 5000

// decimator brings a mono stream to rate, with no delay. Its filter is short, so
// that an hour takes a second: 8 zero crossings on each side under a Kaiser
// window of β = 6, which is -6 dB at 2 kHz and below -60 dB from 2.5 kHz on (computed from
// the taps), half the rate of its output: what would fold over is gone.
//
// Output n stands at input n·down/up. The whole part of that says where the taps lie, the
// rest, one of up phases, which row of taps:
//
//	input   |    |    |    |    |    |    |    |     every 1/from s
//	output      ^          ^          ^              every 1/rate s
//	taps    half to the left, half to the right of each
type decimator struct {
	up, down int         // reduced ratio rate/from
	half     int         // taps on each side of an output
	taps     [][]float32 // by phase; each row's sum is 1, so that a level stays as it is
	in       []float32   // from input sample first on
	first    int64       // below 0 at the start: silence before the sound
	got      int64       // input samples so far
	made     int64       // output samples so far
}

const (
	// crossings on each side of the middle; beta sets how the window falls.
	crossings = 8
	cutoff    = 2000 // Hz
	beta      = 6
)

// newDecimator plans the way from a rate in Hz. The cut-off is the same for all, and at
// most the input's own limit.
func newDecimator(from int) *decimator {
	g := gcd(rate, from)
	d := &decimator{up: rate / g, down: from / g}
	// Odd rates would need a row for every input sample; their phases are
	// rounded to one part in a thousand of a sample instead.
	rows := min(d.up, 1000)
	step := 2 * cutoff / float64(from) // zero crossings a sample
	step = math.Min(step, 1)
	d.half = int(math.Ceil(crossings / step))
	d.taps = make([][]float32, rows)
	for r := range d.taps {
		row := make([]float32, 2*d.half)
		frac := float64(r) / float64(rows)
		sum := 0.0
		for k := range row {
			// Where tap k lies from the output, in zero crossings: tap half-1 is at or before
			// it, tap half behind.
			x := (float64(k-d.half+1) - frac) * step
			v := kaiser(x / crossings)
			if x != 0 {
				v *= math.Sin(math.Pi*x) / (math.Pi * x)
			}
			row[k] = float32(v)
			sum += v
		}
		for k := range row {
			row[k] = float32(float64(row[k]) / sum)
		}
		d.taps[r] = row
	}
	d.in = make([]float32, d.half)
	d.first = -int64(d.half)
	return d
}

// append takes input and appends the output that it completes; last tells that
// silence follows.
func (d *decimator) append(dst, src []float32, last bool) []float32 {
	d.in = append(d.in, src...)
	d.got += int64(len(src))
	end := d.got
	if last {
		d.in = append(d.in, make([]float32, d.half+1)...)
		end += int64(d.half + 1)
	}
	for {
		// All in whole numbers, so that times do not drift in an hour.
		n := d.made * int64(d.down)
		pos, part := n/int64(d.up), int(n%int64(d.up))
		if pos >= d.got || pos+int64(d.half)+1 > end {
			break
		}
		row := d.taps[part*len(d.taps)/d.up]
		at := pos - int64(d.half) + 1 - d.first
		dst = append(dst, dot(d.in[at:at+int64(len(row))], row))
		d.made++
	}
	// What lies before the next output's taps will not be needed again.
	keep := max(d.made*int64(d.down)/int64(d.up)-int64(d.half)+1, d.first)
	drop := min(keep-d.first, int64(len(d.in)))
	d.in = d.in[:copy(d.in, d.in[drop:])]
	d.first += drop
	return dst
}

// dot is the sum of products, in four sums that need not wait for each other.
func dot(a, b []float32) float32 {
	b = b[:len(a)]
	var s0, s1, s2, s3 float32
	i := 0
	for ; i+4 <= len(a); i += 4 {
		x, y := a[i:i+4:i+4], b[i:i+4:i+4]
		s0 += x[0] * y[0]
		s1 += x[1] * y[1]
		s2 += x[2] * y[2]
		s3 += x[3] * y[3]
	}
	for ; i < len(a); i++ {
		s0 += a[i] * b[i]
	}
	return s0 + s1 + s2 + s3
}

func gcd(a, b int) int {
	for b != 0 {
		a, b = b, a%b
	}
	return a
}

// kaiser is the window at x in [-1, 1], not scaled to 1: I0(β·√(1-x²)), the modified Bessel
// function of order nought by its series Σ (y^k / k!)², y being half its argument.
func kaiser(x float64) float64 {
	if x <= -1 || x >= 1 {
		return 0
	}
	y := beta * math.Sqrt(1-x*x) / 2
	sum, term := 1.0, 1.0
	for k := 1.0; term > 1e-12*sum; k++ {
		term *= y * y / (k * k)
		sum += term
	}
	return sum
}

// eachPiece reads the stream to its end and gives its signal at rate, piece by
// piece. It returns the length of the stream in frames.
func eachPiece(s soundfile.Stream, take func(x []float32)) (frames int64, err error) {
	mono := soundfile.Mono(s)
	d := newDecimator(s.Format().Rate)
	buf := make([]float32, 8192)
	var out []float32
	for {
		n, err := mono.Read(buf)
		frames += int64(n)
		last := err != nil
		out = d.append(out[:0], buf[:n], last)
		take(out)
		if errors.Is(err, io.EOF) {
			return frames, nil
		}
		if err != nil {
			return frames, err
		}
	}
}

// highPass takes the mean of the 2 ms about each sample off it, in place, so that
// signs follow what happens above about 300 Hz and not the bass under it.
func highPass(x []float32) {
	const reach = 5
	var past [reach + 1]float32 // of the samples already changed, as they were
	sum := 0.0
	for _, v := range x[:min(reach, len(x))] {
		sum += float64(v)
	}
	for i, v := range x {
		if i+reach < len(x) {
			sum += float64(x[i+reach])
		}
		if i > reach {
			sum -= float64(past[i%len(past)]) // that of i-reach-1
		}
		past[i%len(past)] = v
		n := min(i+reach+1, len(x)) - max(i-reach, 0)
		x[i] = v - float32(sum/float64(n))
	}
}
