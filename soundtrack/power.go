package soundtrack

import "math"

// The spectral centre is the mean of the logarithm of frequency, weighed by power, as
// AudioSpectrumCentroid of ISO/IEC 15938-4 has it (from memory): the pitch about which the
// sound is as heavy above as below. It is kept in half semitones above the lowest
// band, from 1; 0 where all of it is under -80 dB re a full-scale sine.
const (
	centreSteps = 24   // an octave
	noCentre    = 1e-8 // re a full-scale sine
)

// bandPlace is where each band lies above the lowest, in octaves.
var bandPlace = func() (p [bandCount]float32) {
	for b, hz := range bandCentres {
		p[b] = float32(math.Log2(hz / lowestBand))
	}
	return p
}()

// windowBandwidth is the number of lines that a Hann window spreads the power of noise over,
// and of a sine when its lines are added up (Harris 1978, table 1).
const windowBandwidth = 1.5

// rangePowers sums the power of the low, mid and high bands of one frame, 1 being a full-scale
// sine, and power times place over all.
func rangePowers(levels []int16) (power [3]float32, moment float32) {
	for g := range groupCount {
		var sum float32
		for b := g * groupSize; b < (g+1)*groupSize; b++ {
			p := powerOf(int32(levels[b])) / windowBandwidth
			sum += p
			moment += float32(p * bandPlace[b])
		}
		power[rangeOf(g)] += sum
	}
	return power, moment
}

// centreOf is the spectral centre of one frame.
func centreOf(power [3]float32, moment float32) uint8 {
	all := power[0] + power[1] + power[2]
	if all < noCentre {
		return 0
	}
	return uint8(1 + math.Round(float64(centreSteps*moment/all)))
}

// A kept power is in steps of 0.4 dB above 0, which is -91 dB or less; the highest
// is 11 dB.
const (
	loudStep   = 0.4
	loudLowest = -91.0
)

func loudOf(power float32) uint8 {
	level := float64(float64(octaves(power)) * decibels)
	return uint8(math.Round(min(max((level-loudLowest)/loudStep, 0), 255)))
}

// inDecibels turns kept powers into decibels re a full-scale sine.
func inDecibels(loud []uint8) []float32 {
	out := make([]float32, len(loud))
	for i, v := range loud {
		out[i] = loudLowest + float32(loudStep*float32(v))
	}
	return out
}

// powerOf is 2^(v/256), the power that a level is.
func powerOf(v int32) float32 {
	whole := v >> 8 // rounded down; levels lie well within what fits here
	return math.Float32frombits(uint32(min(max(127+whole, 1), 254))<<23) * partPower[v-whole<<8]
}

// partPower is 2^(i/256).
var partPower = func() (t [octave]float32) {
	for i := range t {
		t[i] = float32(math.Exp2(float64(i) / octave))
	}
	return t
}()

// inHertz turns kept centres into frequencies.
func inHertz(centres []uint8) []float32 {
	out := make([]float32, len(centres))
	for i, c := range centres {
		if c > 0 {
			out[i] = float32(lowestBand * math.Exp2(float64(c-1)/centreSteps))
		}
	}
	return out
}
