package demo

import "time"

// bow is a few bowed strings on one note: slow to begin, never an attack.
type bow struct {
	hz   float64
	loud ramp
	tone *wave
}

func (b bow) shape() (rise, decay time.Duration) { return seconds(1), seconds(1) }

// section is a bow being heard: three players, a little out of tune with each other.
type section struct {
	bow
	frame      int
	turn, step [3]float64
	gain, lift float64
}

// start puts the players at places of their own in the wave: begun together, they would
// sound as one at first.
func (b bow) start(d dice) voice {
	v := &section{bow: b}
	for i, detune := range [3]float64{-.0021, .0004, .0026} {
		v.turn[i] = d.between(0, 1)
		v.step[i] = b.hz * (1 + detune) / Rate
	}
	return v
}

// render reads one wave at three speeds. The gain moves in straight lines of controlEvery
// samples, so that no step is heard.
func (s *section) render(dst []float64) bool {
	for i := range dst {
		if s.frame%controlEvery == 0 {
			s.lift = (s.loud.gain(float64(s.frame)/Rate) - s.gain) / controlEvery
		}
		s.frame++
		s.gain += s.lift
		x := 0.0
		for j := range s.turn {
			s.turn[j] += s.step[j]
			if s.turn[j] >= 1 {
				s.turn[j]--
			}
			x += s.tone.at(s.turn[j])
		}
		dst[i] = float64(float64(0.2*s.gain) * x)
	}
	return float64(s.frame)/Rate < s.loud.end()
}
