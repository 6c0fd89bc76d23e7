package show

import (
	"slices"

	"lampblack/score"
	"lampblack/source"
)

// LightsUpPurpose is the purpose of the look that brings people light: at the
// end, for a pause, in an emergency. Without such a look, every unit gives all
// the visible light that it has.
const LightsUpPurpose = "lights up"

// LightsUp takes the frame, filled by At, toward lights up: share 0 leaves it, 1 is all
// the way. Flashing stops at once. This is work light from the units that the show
// controls; it is not, and must not be counted as, emergency lighting, which is
// independent of the show. A share between 0 and 1 runs straight in light from whatever
// the frame holds.
func (s *Show) LightsUp(f *Frame, share float32) {
	if s.player != nil {
		s.player.LightsUp(f, share)
		return
	}
	for d := range f.Levels {
		f.Levels[d] += share * (s.up[d] - f.Levels[d])
	}
	clear(f.Flash)
	switch share {
	case 0: // what stood stands
	case 1:
		f.stand(s.upStill)
	default:
		f.stand(nil)
	}
	s.encoder.Encode(f.Universes, f.Levels, f.Flash, f.still, nil)
}

// HasLightsUp tells whether a look says that it is for lights up.
func (s *Show) HasLightsUp() bool { return s.lightsUpLook() >= 0 }

func (s *Show) lightsUpLook() int {
	return slices.IndexFunc(s.Score.Looks, func(e source.Entry[score.Look]) bool { return e.Value.Purpose == LightsUpPurpose })
}

// lightsUpLevels finds the levels for LightsUp.
func (s *Show) lightsUpLevels() []float32 {
	if i := s.lightsUpLook(); i >= 0 {
		return s.Looks[i].Levels
	}
	up := make([]float32, len(s.Rig.Drives))
	for d := range up {
		if !s.Rig.Emitter(d).Light.BlackLight() {
			up[d] = 1
		}
	}
	return up
}
