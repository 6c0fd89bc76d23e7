package demo

// hall is a small hall's reverberation: four delay lines that feed one another
// through a Hadamard matrix (a feedback delay network after Jot and Chaigne
// 1991), behind five all-passes that smear every attack, so that no echo is
// heard as an attack of its own.
type hall struct {
	smear [5]delay
	lines [4]delay
	dull  [4]lowpass
	gain  [4]float64
}

// delay is a ring of samples.
type delay struct {
	ring []float64
	at   int
}

// step puts a sample in and returns the one that was put in a ring ago.
func (d *delay) step(x float64) float64 {
	y := d.ring[d.at]
	d.ring[d.at] = x
	if d.at++; d.at == len(d.ring) {
		d.at = 0
	}
	return y
}

// reverberation is the time in which the hall falls by 60 dB, in seconds.
const reverberation = 1.5

// newHall makes a hall in which nothing sounds. A line of n samples loses so much on each
// round that 60 dB are gone after the time of reverberation: 10^(-3·n/(T·Rate)), with
// log2(10) = 3.3219….
func newHall() *hall {
	h := &hall{}
	for i, n := range [...]int{113, 241, 509, 887, 1361} {
		h.smear[i].ring = make([]float64, n)
	}
	for i, n := range [...]int{1601, 1949, 2293, 2711} { // primes, 36 to 61 ms
		h.lines[i].ring = make([]float64, n)
		h.dull[i] = corner(5200)
		h.gain[i] = pow2(-3 * 3.321928094887362 * float64(n) / (reverberation * Rate))
	}
	return h
}

// faint keeps the recirculating numbers away from zero, where arithmetic is
// slow on many processors.
const faint = 1e-12

// step runs one sample through the all-passes, which blur it, and into four delay lines that
// feed each other.
func (h *hall) step(x float64) (left, right float64) {
	x += faint
	for i := range h.smear {
		d := &h.smear[i]
		old := d.ring[d.at]
		in := x + float64(0.65*old)
		d.step(in)
		// Schroeder's all-pass: each frequency as loud as before, but at other times.
		x = old - float64(0.65*in)
	}
	var y [4]float64
	for i := range y {
		d := &h.lines[i]
		y[i] = float64(h.gain[i] * h.dull[i].step(d.ring[d.at]))
	}
	// Half the Hadamard matrix of four: it keeps the sum of squares, so that only the lines'
	// own gains make the sound die away. The signs of x part left from right.
	a, b, c, d := y[0]+y[1], y[0]-y[1], y[2]+y[3], y[2]-y[3]
	h.lines[0].step(x + float64(.5*(a+c)))
	h.lines[1].step(x + float64(.5*(b+d)))
	h.lines[2].step(float64(.5*(a-c)) - x)
	h.lines[3].step(float64(.5*(b-d)) - x)
	return float64(.4 * (y[0] - y[2])), float64(.4 * (y[1] - y[3]))
}
