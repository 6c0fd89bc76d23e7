package soundtrack

import "math"

// The spectrogram's bands: one per spectral line of the reference analysis
// (2048 samples at 44.1 kHz) up to 740 Hz, then 24 an octave up to 16 kHz.
// The centres do not move with the sampling rate, so that what was learnt at
// one rate holds at another.
const (
	lineSpacing    = 44100.0 / 2048 // Hz
	bandsPerOctave = 24
	lowestBand     = 2 * lineSpacing // Hz
	kneeBand       = 740.0           // Hz
	highestBand    = 16400.0         // Hz
)

var bandCentres = centres()

// bandCount is len(bandCentres), kept as a constant so that arrays can use it.
const bandCount = 140

// centres are in Hz. Lines give way to octaves at 740 Hz, where 24 bands an octave are about
// as wide apart as the lines are (21.5 Hz).
func centres() []float64 {
	var c []float64
	f := lowestBand
	for f < kneeBand {
		c = append(c, f)
		f += lineSpacing
	}
	for f <= highestBand {
		c = append(c, f)
		f *= math.Exp2(1.0 / bandsPerOctave)
	}
	if len(c) != bandCount {
		panic("soundtrack: bandCount does not agree with the centres")
	}
	return c
}

// filterbank sums a power spectrum into the bands with triangles that meet at
// the neighbours' centres, and takes the logarithm. Every line between two centres gives
// its power to both, in shares that add up to one:
//
//	share  1 ┐╲    ╱╲    ╱       band j falls to 0 where j+1 is at 1
//	       0 ┘ ╲__╱  ╲__╱
//	           j     j+1
type filterbank struct {
	first  []int     // per band j: the first spectral line above centre j
	rising []float32 // per line between two centres: its share for the upper band
	sums   [bandCount + 1]float32
	lines  int // lines in use
}

// newFilterbank plans for transforms of n samples. At low rates the upper bands have no lines
// and stay at the faintest.
func newFilterbank(n int, rate float64) *filterbank {
	fb := &filterbank{first: make([]int, bandCount+1)}
	spacing := rate / float64(n)
	top := n/2 + 1
	for j := range bandCount {
		fb.first[j] = min(int(math.Ceil(bandCentres[j]/spacing)), top)
	}
	last := bandCentres[bandCount-1] * math.Exp2(1.0/bandsPerOctave)
	fb.first[bandCount] = min(int(math.Ceil(last/spacing)), top)
	fb.lines = fb.first[bandCount]
	fb.rising = make([]float32, fb.lines)
	for j := range bandCount {
		next := last
		if j+1 < bandCount {
			next = bandCentres[j+1]
		}
		for k := fb.first[j]; k < fb.first[j+1]; k++ {
			fb.rising[k] = float32((float64(k)*spacing - bandCentres[j]) / (next - bandCentres[j]))
		}
	}
	return fb
}

// faintest is added to every band's power: -110 dB re a full-scale sine, below
// which nothing is told apart.
const faintest = 1e-11

// levels writes the level of each band, in 1/256 of a power octave (0.0118 dB)
// re a full-scale sine.
func (fb *filterbank) levels(dst []int16, power []float32) {
	power = power[:fb.lines]
	rising := fb.rising[:len(power)]
	lower := float32(0) // what the last interval left for the band at its upper end
	for j := range bandCount {
		var up, all float32
		for k := fb.first[j]; k < fb.first[j+1]; k++ {
			p := power[k]
			up += p * rising[k]
			all += p
		}
		fb.sums[j] = lower + (all - up) + faintest
		lower = up
	}
	dst = dst[:bandCount]
	for j := range dst {
		dst[j] = octaves(fb.sums[j])
	}
}

// octaves returns 256·log2(p) for a positive p, within 1: the exponent bits of
// p with the first eight bits of its fraction, corrected for the logarithm's
// bend by a table. It is taken 14 000 times a second of sound.
func octaves(p float32) int16 {
	b := math.Float32bits(p) >> 15
	return int16(int32(b)-127<<8) + bend[b&255]
}

// bend is 256·log2(1+f) - 256·f at the middle of each 256th.
var bend = func() (t [256]int16) {
	for i := range t {
		f := (float64(i) + 0.5) / 256
		t[i] = int16(math.Round(256*math.Log2(1+f) - float64(i)))
	}
	return t
}()

// decibels converts levels in 1/256 power octaves.
const decibels = 10 * 0.30102999566398120 / 256
