package soundtrack

import (
	"math"
	"slices"
	"time"
)

// nothing is the loudness written where there is no signal, LUFS.
const nothing = -120

// blockRate is the number of K-weighted power blocks a second. 400 ms, 3 s and
// the 100 ms step of the gates are whole numbers of blocks.
const blockRate = 100

const hop = time.Second / blockRate

// biquad holds b0 b1 b2 a1 a2 of a second-order section, a0 = 1.
type biquad struct{ b0, b1, b2, a1, a2 float64 }

// kWeighting returns the two sections of ITU-R BS.1770-4 annex 1 for any
// sampling rate, from the analogue prototypes that give the standard's 48 kHz
// coefficients: a shelf of +4 dB above 1.68 kHz, a high-pass at 38 Hz.
func kWeighting(rate float64) (shelf, pass biquad) {
	k := math.Tan(math.Pi * 1681.974450955533 / rate)
	vh := math.Pow(10, 3.999843853973347/20)
	vb := math.Pow(vh, 0.4996667741545416)
	q := 0.7071752369554196
	a0 := 1 + k/q + k*k
	shelf = biquad{(vh + vb*k/q + k*k) / a0, 2 * (k*k - vh) / a0, (vh - vb*k/q + k*k) / a0,
		2 * (k*k - 1) / a0, (1 - k/q + k*k) / a0}
	k = math.Tan(math.Pi * 38.13547087602444 / rate)
	q = 0.5003270373238773
	a0 = 1 + k/q + k*k
	pass = biquad{1, -2, 1, 2 * (k*k - 1) / a0, (1 - k/q + k*k) / a0}
	return shelf, pass
}

// channelWeight is G of BS.1770-4 table 3 for channel c of n in the usual
// order (L R C LFE Ls Rs): surrounds weigh 1.41, the low-frequency channel 0. Four
// channels are taken for L R Ls Rs and five for L R C Ls Rs, as WAV orders them.
func channelWeight(c, n int) float64 {
	switch {
	case n == 4 && c >= 2, n == 5 && c >= 3, n >= 6 && (c == 4 || c == 5):
		return 1.41
	case n >= 6 && c == 3:
		return 0
	}
	return 1
}

// loudnessOf converts a K-weighted, channel-summed mean square to LUFS
// (BS.1770-4, equation 2).
func loudnessOf(meanSquare float64) float64 {
	if meanSquare < 1e-12 {
		return nothing
	}
	return max(nothing, -0.691+10*math.Log10(meanSquare))
}

// sliding returns the loudness of windows of n blocks, one per block of power,
// centred on it. Windows that reach past an end are filled with silence, as a
// meter that starts before and ends after the sound would show.
func sliding(power []float32, n int) []float32 {
	out := make([]float32, len(power))
	sums := prefix(power)
	for i := range out {
		from, to := max(i-n/2, 0), min(i-n/2+n, len(power))
		out[i] = float32(loudnessOf((sums[to] - sums[from]) / float64(n)))
	}
	return out
}

// prefix returns sums such that s[b]-s[a] is that of x[a:b].
func prefix(x []float32) []float64 {
	s := make([]float64, len(x)+1)
	for i, v := range x {
		s[i+1] = s[i] + float64(v)
	}
	return s
}

// windows returns the mean squares of whole windows of n blocks every step
// blocks.
func windows(power []float32, n, step int) []float64 {
	sums := prefix(power)
	var w []float64
	for i := 0; i+n <= len(power); i += step {
		w = append(w, (sums[i+n]-sums[i])/float64(n))
	}
	return w
}

// programmeLoudness is the gated loudness of BS.1770-4 annex 1: blocks of 400
// ms that overlap by 75 %, an absolute gate at -70 LUFS, a relative gate 10 LU
// below the mean of what passed it. Sound shorter than 400 ms is measured
// whole.
func programmeLoudness(power []float32) float64 {
	blocks := windows(power, 40, 10)
	if len(blocks) == 0 {
		blocks = windows(power, len(power), max(len(power), 1))
	}
	m, _ := gated(blocks, -70)
	m, n := gated(blocks, max(-70, loudnessOf(m)-10))
	if n == 0 {
		return nothing
	}
	return loudnessOf(m)
}

// gated returns the mean of the blocks louder than gate, and their number.
func gated(blocks []float64, gate float64) (mean float64, n int) {
	for _, b := range blocks {
		if loudnessOf(b) > gate {
			mean += b
			n++
		}
	}
	return mean / float64(max(n, 1)), n
}

// loudnessRange is LRA of EBU Tech 3342: the span from the 10th to the 95th
// percentile of short-term loudness (3 s every 100 ms) above -70 LUFS and
// above 20 LU below their mean.
func loudnessRange(power []float32) float64 {
	blocks := windows(power, 300, 10)
	m, _ := gated(blocks, -70)
	gate := max(-70, loudnessOf(m)-20)
	var l []float64
	for _, b := range blocks {
		if v := loudnessOf(b); v > gate {
			l = append(l, v)
		}
	}
	if len(l) < 2 {
		return 0
	}
	slices.Sort(l)
	at := func(share float64) float64 { return l[int(math.Round(share*float64(len(l)-1)))] }
	return at(0.95) - at(0.10)
}
