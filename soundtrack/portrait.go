package soundtrack

import "math"

// portraitSize is the number of values that a hit's likeness has.
const portraitSize = 12

// portrait is what a peak adds to the sound. Likes is the shape of what was added, in twelve
// parts of the spectrum: hits of one sort have it alike. One band alone gives 255 in its part;
// what is spread over all bands sums to less, as each band is rounded down.
type portrait struct {
	Band    [2]float32 // Hz, the middle 80 % of the added amplitude
	Centre  float32    // Hz, amplitude-weighted mean on the octave scale
	Low     float32    // share of the added power below 200 Hz
	Peaky   float32    // how far single tones stand out of what was added, dB
	Attack  float32    // s, 10 % to 90 % of the rise
	Likes   [portraitSize]uint8
	Loudest float32 // level of the loudest band, dB re full-scale sine
}

// portray looks at the frames around a peak at frame i. Before is the quieter of 50 ms
// and 30 ms before it, where the window of 46 ms does not reach the attack yet, after the
// loudest of 10 ms to 30 ms after it, band by band.
func (s *spectra) portray(i int) (p portrait) {
	var added [bandCount]float64
	var sum, power, low, octaves float64
	top := int16(-32768)
	for b := range added {
		before := min(s.at(i - 5)[b], s.at(i - 3)[b])
		after := max(s.at(i + 1)[b], s.at(i + 2)[b], s.at(i + 3)[b])
		top = max(top, after)
		// Under the floor there is noise or the leakage of louder bands, and its rises mean nothing.
		if int32(after) > s.floor(i) && after > before {
			added[b] = amplitude(after) - amplitude(before)
		}
		sum += added[b]
		octaves += added[b] * math.Log2(bandCentres[b])
		power += added[b] * added[b]
		if b < lowGroups*groupSize {
			low += added[b] * added[b]
		}
	}
	p.Loudest = float32(top) * decibels
	p.Attack = s.attack(i)
	if sum <= 0 {
		return p
	}
	p.Centre, p.Low = float32(math.Exp2(octaves/sum)), float32(low/power)
	p.Band = middle(added[:], sum)
	p.Peaky = s.peaky(i)
	for b, v := range added {
		k := b * portraitSize / bandCount
		p.Likes[k] = uint8(min(255, float64(p.Likes[k])+255*v/sum))
	}
	return p
}

// amplitude inverts the level scale, for amplitudes.
func amplitude(level int16) float64 { return math.Exp2(float64(level) / (2 * octave)) }

// middle is from the band where a tenth of the sum is reached to that of nine tenths.
func middle(added []float64, sum float64) (band [2]float32) {
	seen := 0.0
	for b, v := range added {
		if seen < 0.1*sum && seen+v >= 0.1*sum {
			band[0] = float32(bandCentres[b])
		}
		if seen < 0.9*sum && seen+v >= 0.9*sum {
			band[1] = float32(bandCentres[b])
		}
		seen += v
	}
	return band
}

// peaky is the mean distance of neighbouring bands' levels shortly after the
// attack, where they are above the floor: about 4 dB for noise, more for tones.
func (s *spectra) peaky(i int) float32 {
	var level [bandCount]int32
	for k := 3; k <= 9; k++ {
		for b, v := range s.at(i + k) {
			level[b] += int32(v)
		}
	}
	sum, n := int32(0), int32(0)
	for b := 2; b < bandCount; b++ {
		if a, z := level[b]/7, level[b-1]/7; max(a, z) > s.floor(i)+depth/3 {
			sum += max(a-z, z-a)
			n++
		}
	}
	return float32(sum) / float32(max(n, 1)) * decibels
}

// attack is the time from 10 % to 90 % of the amplitude that fine levels reach
// within 100 ms, in seconds.
func (s *spectra) attack(i int) float32 {
	f := s.fine[(i-s.start-2)*finePerFrame:][:12*finePerFrame]
	peak := 0
	for k, v := range f {
		if v > f[peak] {
			peak = k
		}
	}
	full := amplitude(f[peak])
	// Back from the peak: to where it was last under nine tenths, then to a tenth.
	late, early := peak, peak
	for late > 0 && amplitude(f[late-1]) > 0.9*full {
		late--
	}
	for early = late; early > 0 && amplitude(f[early-1]) > 0.1*full; {
		early--
	}
	return float32(late-early+1) / (finePerFrame * blockRate)
}
