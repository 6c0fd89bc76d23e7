package demo

import "time"

// drum is a skin drum: a low tone that drops as the skin settles, and the slap
// of the stick.
type drum struct {
	hz   float64 // of the skin at rest
	ring float64 // s until it has fallen by 60 dB
	slap float64 // share of the stick's noise, 0..1
}

func (d drum) shape() (rise, decay time.Duration) {
	return 4 * time.Millisecond, seconds(d.ring / 3)
}

// skin is a drum being heard: tone and noise, each with a level and the factor that it
// falls by each sample; bend is how far the tone still lies over its rest.
type skin struct {
	turn, hz, bend, bendFall float64
	body, bodyFall           float64
	slap, slapFall           float64
	noise                    dice
	tone                     lowpass
}

// start strikes: the tone begins at 2.4 times the frequency of its rest and is near that
// within an eighth of a second.
func (d drum) start(n dice) voice {
	return &skin{
		hz: d.hz, bend: 1.4, bendFall: fall(0.12),
		body: 1 - float64(0.3*d.slap), bodyFall: fall(d.ring),
		slap: 1.1 * d.slap, slapFall: fall(0.09),
		noise: n, tone: corner(3500),
	}
}

// render reads a sine whose frequency falls to rest in an eighth of a second, under noise
// that is gone a little sooner.
func (s *skin) render(dst []float64) bool {
	for i := range dst {
		s.turn += s.hz * (1 + s.bend) / Rate
		if s.turn >= 1 {
			s.turn--
		}
		x := float64(s.body * pure.at(s.turn))
		x += float64(s.slap * s.tone.step(s.noise.noise()))
		dst[i] = x
		s.bend = float64(s.bend * s.bendFall)
		s.body = float64(s.body * s.bodyFall)
		s.slap = float64(s.slap * s.slapFall)
	}
	return s.body > inaudible
}

// rattle is a handful of shells: a short burst of bright noise.
type rattle struct{ ring float64 }

func (r rattle) shape() (rise, decay time.Duration) {
	return time.Millisecond, seconds(r.ring / 3)
}

// shells is a rattle being heard: noise less its low part.
type shells struct {
	level, fall float64
	noise       dice
	low         lowpass
}

func (r rattle) start(n dice) voice {
	return &shells{level: 1, fall: fall(r.ring), noise: n, low: corner(4500)}
}

func (s *shells) render(dst []float64) bool {
	for i := range dst {
		x := s.noise.noise()
		dst[i] = float64(s.level * (x - s.low.step(x)))
		s.level = float64(s.level * s.fall)
	}
	return s.level > inaudible
}
