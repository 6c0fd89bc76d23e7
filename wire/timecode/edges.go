package timecode

import "math"

// edgeFinder finds where the level changes: it takes the mean of a few samples
// against noise, follows the peak, and wants the signal to cross a third of it
// on the other side; the edge is where it crossed the middle.
type edgeFinder struct {
	n      int64 // samples taken
	sum    float32
	window []float32
	next   int
	scale  float32

	middle  float32 // slow mean: an offset of the input
	settle  float32
	peak    float32
	decay   float32
	high    bool
	last    float32
	crossed float64 // where the signal last crossed the middle
	delay   float64
}

// quiet is the peak below which there is no signal: -80 dB of full scale.
const quiet = 1e-4

func newEdgeFinder(sampleRate int) edgeFinder {
	// The mean covers 125 us, 0.6 of the shortest half bit (208 us at 30
	// frames a second): white noise falls by 7.8 dB at 48 kHz while the
	// signal still reaches its full level.
	n := max(1, int(math.Round(125e-6*float64(sampleRate))))
	return edgeFinder{
		window: make([]float32, n), scale: 1 / float32(n), delay: float64(n-1) / 2,
		settle: float32(1 / (0.05 * float64(sampleRate))), // 50 ms
		decay:  float32(1 / (0.02 * float64(sampleRate))), // 20 ms
	}
}

// run takes samples up to the first edge that they complete, and returns how
// many those were and where the edge stands, in samples since the first of all.
func (e *edgeFinder) run(samples []float32) (used int, at float64, ok bool) {
	if e.n == 0 && len(samples) > 0 {
		e.begin(sane(samples[0]))
	}
	for i, x := range samples {
		e.slide(sane(x))
		y := e.sum*e.scale - e.middle
		e.middle += y * e.settle
		e.n++
		size := max(y, -y)
		if size > e.peak {
			e.peak = size
		} else {
			e.peak -= e.peak * e.decay
		}
		if (y > 0) != (e.last > 0) {
			e.crossed = float64(e.n-1) - float64(y/(y-e.last)) - e.delay
		}
		e.last = y
		threshold := e.peak * (1. / 3)
		if e.high {
			y = -y
		}
		if y > threshold && e.peak > quiet {
			e.high = !e.high
			return i + 1, e.crossed, true
		}
	}
	return len(samples), 0, false
}

// sane keeps what a broken input sends out of the sums.
func sane(x float32) float32 {
	if x > -1e6 && x < 1e6 {
		return x
	}
	return 0
}

// begin sets the middle to the first sample, wherever that is.
func (e *edgeFinder) begin(x float32) {
	for i := range e.window {
		e.window[i] = x
	}
	e.sum, e.middle = x*float32(len(e.window)), x
}

// slide moves the window on by one sample.
func (e *edgeFinder) slide(x float32) {
	e.sum += x - e.window[e.next]
	e.window[e.next] = x
	if e.next++; e.next < len(e.window) {
		return
	}
	e.next, e.sum = 0, 0 // anew once a round, so that rounding does not add up
	for _, v := range e.window {
		e.sum += v
	}
}
