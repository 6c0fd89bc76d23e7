package truth

import (
	"math"
	"math/rand/v2"
)

// vowels are first to third formants, Hz, of a few vowels of men and women
// (after Peterson and Barney 1952, rounded).
var vowels = [][3]float64{{270, 2290, 3010}, {390, 1990, 2550}, {530, 1840, 2480}, {660, 1720, 2410},
	{730, 1090, 2440}, {570, 840, 2410}, {300, 870, 2240}, {640, 1190, 2390}, {490, 1350, 1690}}

// speech babbles: syllables of a pulse train through three resonances, hisses
// between them, pauses for breath. Its level pattern is speech's; it has no
// words.
func speech(r *rand.Rand, dst []float32, level float64) {
	s := speaker{r: r, pitch: 90 + 130*r.Float64(), pace: 0.8 + 0.5*r.Float64()}
	at := 0
	for at < len(dst) {
		at = s.phrase(dst, at, level)
		// A breath of a quarter of a second to nearly one, short ones the likelier.
		at += int((0.25 + 0.7*r.Float64()*r.Float64()) * Rate)
	}
}

// speaker is one voice: pitch in Hz, pace as a factor of every length.
type speaker struct {
	r     *rand.Rand
	pitch float64
	pace  float64
	phase float64
	tract [3][2]float64 // memory of the resonators
}

// phrase says 3 to 11 syllables from sample at on, falling in pitch, and returns where it
// ends. Some begin with a hiss, some with the silence of a stop.
func (s *speaker) phrase(dst []float32, at int, level float64) int {
	count := 3 + s.r.IntN(9)
	for n := range count {
		fall := 1.15 - 0.3*float64(n)/float64(count)
		if s.r.Float64() < 0.35 {
			at = s.hiss(dst, at, level*0.25)
		}
		if s.r.Float64() < 0.3 {
			at += int(0.045 * s.pace * Rate)
		}
		// Syllables differ by up to 8 dB.
		loud := level * math.Pow(10, -8*s.r.Float64()/20)
		at = s.vowel(dst, at, loud, s.pitch*fall*(0.95+0.15*s.r.Float64()))
	}
	return at
}

// vowel glides from one vowel to another: pulses at the pitch through the three formants
// in a row, bandwidths of 60 Hz, 100 Hz and 140 Hz.
func (s *speaker) vowel(dst []float32, at int, level, pitch float64) int {
	n := int((0.07 + 0.16*s.r.Float64()) * s.pace * Rate)
	from, to := vowels[s.r.IntN(len(vowels))], vowels[s.r.IntN(len(vowels))]
	for i := 0; i < n && at+i < len(dst); i++ {
		x := float64(i) / float64(n)
		s.phase += pitch * (1 + 0.05*math.Sin(math.Pi*x)) / Rate
		pulse := 0.0
		if s.phase >= 1 {
			s.phase -= 1
			pulse = 1
		}
		v := pulse + 0.003*(2*s.r.Float64()-1)
		for k := range s.tract {
			v = s.resonate(k, v, from[k]+(to[k]-from[k])*x, 60+40*float64(k))
		}
		dst[at+i] += float32(6 * level * math.Sin(math.Pi*math.Sqrt(x)) * v)
	}
	return at + n
}

// resonate is a two-pole filter with unit gain at zero frequency: y = g·x + a1·y' + a2·y″,
// with poles at radius e^(-π·width/Rate) and angle 2π·hz/Rate.
func (s *speaker) resonate(k int, x, hz, width float64) float64 {
	radius := math.Exp(-math.Pi * width / Rate)
	a1, a2 := 2*radius*math.Cos(2*math.Pi*hz/Rate), -radius*radius
	y := (1-a1-a2)*x + a1*s.tract[k][0] + a2*s.tract[k][1]
	s.tract[k][1], s.tract[k][0] = s.tract[k][0], y
	return y
}

// hiss is noise tilted upwards by 6 dB an octave, as of an s.
func (s *speaker) hiss(dst []float32, at int, level float64) int {
	n, last := int((0.04+0.07*s.r.Float64())*s.pace*Rate), 0.0
	for i := 0; i < n && at+i < len(dst); i++ {
		v := 2*s.r.Float64() - 1
		dst[at+i] += float32(level * (v - last) * math.Sin(math.Pi*float64(i)/float64(n)))
		last = v
	}
	return at + n
}
