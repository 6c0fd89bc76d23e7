package soundtrack

import "math"

// sketch is the sound's colour, coarse enough to be kept whole: what sections
// are told apart by.
type sketch struct {
	Colour []uint8 // per 100 ms: mean level of each group, 255 being full scale
	Chroma []uint8 // per 100 ms: strength of each of the twelve pitch classes
	Peaky  []uint8 // per 20 ms: how much single tones stand out, 300 Hz to 4 kHz
}

const (
	sketchFrames = 10 // frames a step of Colour and Chroma
	sketchRate   = blockRate / sketchFrames
	chromaSize   = 12
)

// sketcher builds a sketch frame by frame.
type sketcher struct {
	colour [groupCount]int32
	chroma [chromaSize]int32
	frames int32
}

// Bands from 300 Hz, below which lines are too far apart to tell notes, to 4
// kHz; pitchClass gives their place in the octave, from A.
var (
	tonalFrom = bandFrom(300)
	tonalTo   = bandFrom(4000)

	pitchClass = func() (c [bandCount]int) {
		for b, hz := range bandCentres {
			c[b] = ((int(math.Round(12*math.Log2(hz/440)))%chromaSize + chromaSize) % chromaSize)
		}
		return c
	}()
)

// bandFrom is the first band whose centre is not below a frequency.
func bandFrom(hz float64) int {
	b := 0
	for b < bandCount && bandCentres[b] < hz {
		b++
	}
	return b
}

// add takes in one frame.
func (k *sketcher) add(s *sketch, levels []int16, frame int) {
	for g := range k.colour {
		b := levels[g*groupSize:][:groupSize]
		k.colour[g] += int32(b[0]) + int32(b[1]) + int32(b[2]) + int32(b[3])
	}
	if frame%2 == 0 {
		s.Peaky = append(s.Peaky, k.tones(levels))
	}
	if k.frames++; k.frames == sketchFrames {
		k.close(s)
	}
}

// tones adds what stands out over its surroundings to the pitch classes and
// returns how much that is, in quarters of a decibel a band.
func (k *sketcher) tones(levels []int16) uint8 {
	const around = 4
	sum, all := int32(0), int32(0)
	for b := tonalFrom - around; b <= tonalFrom+around; b++ {
		sum += int32(levels[b])
	}
	for b := tonalFrom; b < tonalTo; b++ {
		d := int32(levels[b]) - sum/(2*around+1)
		if d > 0 && levels[b] > lowestFloor {
			k.chroma[pitchClass[b]] += d
			all += d
		}
		sum += int32(levels[b+around+1]) - int32(levels[b-around])
	}
	return uint8(min(all/int32(tonalTo-tonalFrom)*301/(25*octave), 255))
}

// close writes one step.
func (k *sketcher) close(s *sketch) {
	if k.frames == 0 {
		return
	}
	for g, v := range k.colour {
		mean := v / (groupSize * k.frames)
		s.Colour = append(s.Colour, uint8(min(max((mean-lowestFloor)*255/-lowestFloor, 0), 255)))
		k.colour[g] = 0
	}
	for c, v := range k.chroma {
		s.Chroma = append(s.Chroma, uint8(min(v/(k.frames*octave/8), 255)))
		k.chroma[c] = 0
	}
	k.frames = 0
}

// steps returns the number of 100 ms steps.
func (s *sketch) steps() int { return len(s.Colour) / groupCount }
