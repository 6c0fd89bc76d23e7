package soundfile

import "math"

// filterBank holds the taps of the resampling filter for each fraction of an
// input sample that an output frame can fall on. Output frame n lies at input time
// n·down/up; with 44.1 to 48 kHz, 147/160, there are 160 different fractions:
//
//	input     │   │   │   │   │   │      row p of the table: the filter, shifted by
//	output    │  │   │  │  │   │  │      p/phases of an input sample
type filterBank struct {
	up, down int // reduced ratio of the rates, to/from
	half     int // taps on each side
	taps     int // 2*half
	phases   int // rows, less the one that closes the last gap
	exact    bool
	table    []float32 // (phases+1) rows of taps
}

const (
	filterHalf = 64   // zero crossings on each side
	filterCut  = 0.94 // of the lower Nyquist frequency: half the transition below it
	filterBeta = 12   // 118 dB
	// bankSize bounds the table: 4 MiB. Ratios that would need more are read
	// between rows; at 128 taps the 8192 rows leave an error below -140 dB.
	bankSize = 1 << 20
)

// newFilterBank plans the change from one rate to another, both positive. Towards a lower
// rate the filter must cut at the lower Nyquist frequency, so it gets longer in input
// samples by the ratio of the rates, and each output weighs more of them.
func newFilterBank(from, to int) *filterBank {
	g := gcd(from, to)
	b := &filterBank{up: to / g, down: from / g}
	scale := min(1, float64(to)/float64(from)) // lower rate over input rate
	b.half = int(math.Ceil(filterHalf / scale))
	b.taps = 2 * b.half
	b.phases, b.exact = b.up, true
	if b.up*b.taps > bankSize {
		b.phases, b.exact = max(bankSize/b.taps, 16), false
	}
	b.table = make([]float32, (b.phases+1)*b.taps)
	for p := range b.phases + 1 {
		b.fillRow(p, scale)
	}
	return b
}

// fillRow sets row p: tap k weighs the input sample at k-half+1 from the one at
// or before the output's time.
func (b *filterBank) fillRow(p int, scale float64) {
	row := b.table[p*b.taps : (p+1)*b.taps]
	frac := float64(p) / float64(b.phases)
	taps := make([]float64, b.taps)
	sum := 0.0
	for k := range taps {
		t := (float64(k-b.half+1) - frac) * scale
		taps[k] = sinc(filterCut*t) * kaiser(t/filterHalf, filterBeta)
		sum += taps[k]
	}
	for k := range taps {
		row[k] = float32(taps[k] / sum) // each row passes a constant unchanged
	}
}

// position returns the input sample at or before output frame n, and the
// fraction behind it in units of 1/up. n·down is not formed, since hours of sound at
// rates without a common factor would overflow it.
func (b *filterBank) position(n int64) (pos int64, phase int) {
	up, down := int64(b.up), int64(b.down)
	whole, part := n/up*down, n%up*down
	return whole + part/up, int(part % up)
}

// at filters one output frame out of taps input samples. Where there is no row for each
// fraction it goes straight from the result of one row to that of the next; the last,
// closing row is there for that.
func (b *filterBank) at(in []float32, phase int) float32 {
	if b.exact {
		return dot(in, b.table[phase*b.taps:])
	}
	x := float64(phase) * float64(b.phases) / float64(b.up)
	row := int(x)
	f := float32(x - float64(row))
	lo := dot(in, b.table[row*b.taps:])
	hi := dot(in, b.table[(row+1)*b.taps:])
	return lo + f*(hi-lo)
}

// dot returns the sum of products over the length of a, which is even. Four
// sums run side by side so that additions need not wait for each other.
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
	return (s0 + s1) + (s2 + s3)
}

func gcd(a, b int) int {
	for b != 0 {
		a, b = b, a%b
	}
	return a
}

// sinc is sin(πx)/(πx), the ideal low-pass filter at half the rate.
func sinc(x float64) float64 {
	if x == 0 {
		return 1
	}
	return math.Sin(math.Pi*x) / (math.Pi * x)
}

// kaiser is the Kaiser window at x in [-1, 1]: I0(β√(1-x²))/I0(β).
func kaiser(x, beta float64) float64 {
	if x <= -1 || x >= 1 {
		return 0
	}
	return bessel0(beta*math.Sqrt(1-x*x)) / bessel0(beta)
}

// bessel0 is the modified Bessel function I0 by its power series (M. Abramowitz
// and I. Stegun, 9.6.12).
func bessel0(x float64) float64 {
	sum, term := 1.0, 1.0
	for k := 1.0; term > 1e-17*sum; k++ {
		term *= x * x / (4 * k * k)
		sum += term
	}
	return sum
}
