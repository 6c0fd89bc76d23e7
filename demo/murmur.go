package demo

import "time"

// murmur is a narrator heard through a wall: no words, but the pulse of a
// throat, vowels that move, syllables of speech-like length, and pauses for
// breath. Formant frequencies are of the size that Peterson and Barney (1952)
// measured on men's vowels; rhythm and melody are invented.
type murmur struct {
	lasts     float64 // s
	pitch     float64 // Hz
	syllables []syllable
}

// syllable is one push of breath. Times are frames from the murmur's first.
type syllable struct {
	from, to int
	loud     float64
	melody   float64 // pitch re the speaker's
	vowel    vowel
	hiss     float64 // a consonant's breath
}

func (m murmur) shape() (rise, decay time.Duration) { return seconds(.05), seconds(.1) }

// speak draws syllables in phrases, with pauses between them.
func speak(lasts, pitch float64, d dice) murmur {
	m := murmur{lasts: lasts, pitch: pitch}
	at, left, melody := 0.0, 6, 1.15
	for {
		long := d.between(.1, .26)
		if at+long > lasts-.1 {
			return m
		}
		melody = float64(melody*d.between(.9, 1.04)) + .04
		s := syllable{from: int(at * Rate), to: int((at + long) * Rate), loud: d.between(.55, 1), melody: melody}
		s.vowel = vowels[d.next()%uint64(len(vowels))]
		if d.next()%3 == 0 {
			s.hiss = d.between(.1, .25)
		}
		m.syllables = append(m.syllables, s)
		at += long + d.between(.03, .08)
		if left--; left < 0 {
			left = 4 + int(d.next()%7)
			at += d.between(.3, .65)
			melody = 1.18
		}
	}
}

// vowel is three formants in Hz.
type vowel [3]float64

// vowels are as in heed, hid, head, hod, hawed, hood and who'd.
var vowels = [...]vowel{{270, 2290, 3010}, {390, 1990, 2550}, {530, 1840, 2480}, {730, 1090, 2440}, {570, 840, 2410}, {440, 1020, 2240}, {300, 870, 2240}}

// speaker is a murmur being heard. Throat and formants are filters, mouth is where the
// formants are just now on their way to those of the syllable.
type speaker struct {
	murmur
	noise    dice
	frame    int
	turn, hz float64
	mouth    vowel
	formants [3]resonator
	throat   [2]lowpass
	breath   lowpass
	loud     float64
	hiss     float64
	said     int // syllables begun
}

func (m murmur) start(d dice) voice {
	v := &speaker{murmur: m, noise: d, hz: m.pitch, mouth: vowels[5]}
	v.throat = [2]lowpass{corner(700), corner(1800)}
	v.breath = corner(3000)
	return v
}

// now returns the syllable that is being said, or that was said last.
func (s *speaker) now() syllable {
	if s.said == 0 {
		return syllable{vowel: vowels[5], melody: 1}
	}
	return s.syllables[s.said-1]
}

// control moves pitch and mouth a little towards what the syllable wants.
func (s *speaker) control() {
	now := s.now()
	s.hz += float64(.01 * (float64(s.pitch*now.melody) - s.hz))
	for i := range s.formants {
		s.mouth[i] += float64(.035 * (now.vowel[i] - s.mouth[i]))
		s.formants[i].tune(s.mouth[i], 60+float64(30*float64(i)))
	}
}

// render says the syllables in their turn. What moves slowly is computed every controlEvery
// samples.
func (s *speaker) render(dst []float64) bool {
	for i := range dst {
		if s.said < len(s.syllables) && s.frame >= s.syllables[s.said].from {
			s.hiss = s.syllables[s.said].hiss
			s.said++
		}
		if s.frame%controlEvery == 0 {
			s.control()
		}
		dst[i] = s.sample()
		s.frame++
	}
	return s.frame < int(s.lasts*Rate)
}

// sample makes one sample: throat, mouth, breath.
func (s *speaker) sample() float64 {
	want := 0.0
	if now := s.now(); s.frame < now.to {
		want = now.loud
	}
	s.loud += float64(.0012 * (want - s.loud))
	s.hiss = float64(s.hiss * .9994)
	s.turn += s.hz / Rate
	pulse := 0.0
	if s.turn >= 1 {
		s.turn--
		pulse = 60
	}
	x := s.throat[1].step(s.throat[0].step(pulse))
	y := s.formants[0].step(x)
	y += float64(.45 * s.formants[1].step(x))
	y += float64(.25 * s.formants[2].step(x))
	n := s.noise.noise()
	y += float64(float64(s.hiss*.12) * (n - s.breath.step(n)))
	return float64(s.loud * y)
}
