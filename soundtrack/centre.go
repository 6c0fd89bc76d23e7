package soundtrack

import "math"

// The spectral centre is the mean of the logarithm of frequency, weighed by power, as
// AudioSpectrumCentroid of ISO/IEC 15938-4 has it (from memory): the pitch about which the
// sound is as heavy above as below. It is kept in half semitones above the lowest
// band, from 1; 0 where nothing is louder than lowestFloor.
const centreSteps = 24 // an octave

// bandPlace is where each band lies above the lowest, in octaves.
var bandPlace = func() (p [bandCount]float32) {
	for b, hz := range bandCentres {
		p[b] = float32(math.Log2(hz / lowestBand))
	}
	return p
}()

// centreOf is the spectral centre of one frame. Bands more than 60 dB under the loudest, which
// are next to nothing of the sum, are left out.
func centreOf(levels []int16) uint8 {
	top := int32(-32768)
	for _, v := range levels {
		top = max(top, int32(v))
	}
	if top <= lowestFloor {
		return 0
	}
	var sum, all float32
	for b, v := range levels[:bandCount] {
		if d := int32(v) - top; d > -depth {
			p := powerOf(d)
			all += p
			sum += float32(p * bandPlace[b])
		}
	}
	return uint8(1 + math.Round(float64(centreSteps*sum/all)))
}

// powerOf is 2^(d/256) for d from -depth to 0: the power that a level is.
func powerOf(d int32) float32 {
	whole := d >> 8 // rounded down
	return math.Float32frombits(uint32(127+whole)<<23) * partPower[d-whole<<8]
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
