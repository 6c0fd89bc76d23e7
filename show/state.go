package show

import (
	"time"

	"lampblack/evening"
	"lampblack/living"
	"lampblack/rig"
)

// LightsUpTime is how long the lights take to come up: fast, without a flash.
const LightsUpTime = 500 * time.Millisecond

// AtState computes the light of a state of the evening: that of its place on the
// show's line, over it a light that was frozen, and over both the lights that a hand has
// brought up. Same state, same light; what happened before is in the state alone.
func (s *Show) AtState(f *Frame, state evening.State) { s.AtHeard(f, state, nil) }

// AtHeard is AtState while an ear hears, which light goes by where there is no soundtrack; nil
// is none.
func (s *Show) AtHeard(f *Frame, state evening.State, ear *living.Ear) {
	s.at(f, instant{state.In, state.Living, ear})
	if share := state.Standing(); share > 0 {
		s.stand(f, state.Stands, float32(share))
	}
	if state.LightsUp {
		s.LightsUp(f, float32(min(state.Up.Seconds()/LightsUpTime.Seconds(), 1)))
	}
}

// stand takes a frame, filled by At, a share of the way to a light that was frozen, straight
// in light. What stands does not flash, nor does what comes back until it is there: a freeze
// must not make seconds of flashing last for minutes. A light of another rig is none.
func (s *Show) stand(f *Frame, light evening.Stands, share float32) {
	levels, still := f.frozen.of(light, s.encoder, len(f.Levels))
	if levels == nil {
		return
	}
	for d, level := range levels {
		f.Levels[d] = toward(f.Levels[d], level, share)
	}
	clear(f.Flash)
	f.stand(nil)
	if share == 1 {
		f.stand(still)
	}
	s.encoder.Encode(f.Universes, f.Levels, f.Flash, f.still, nil)
}

// frozen keeps the last light that was frozen ready for a frame, as its slots are dear. Each
// frame has its own, as zones side by side are frozen each in another light.
type frozen struct {
	light   evening.Stands
	encoder *rig.Encoder // that made still
	levels  []float32
	still   *rig.Still
}

// of returns a light of so many drives, and its slots; none for a light of another number.
// Callers change neither.
func (z *frozen) of(light evening.Stands, e *rig.Encoder, drives int) ([]float32, *rig.Still) {
	if z.light != light || z.encoder != e {
		*z = frozen{light: light, encoder: e}
		if levels := light.Levels(); len(levels) == drives {
			z.levels, z.still = levels, e.Still(levels)
		}
	}
	return z.levels, z.still
}

// Ultraviolet tells whether a light that was frozen has black light in it, which stays on as
// long as it stands.
func (s *Show) Ultraviolet(light evening.Stands) bool {
	levels := light.Levels()
	if len(levels) != len(s.Rig.Drives) {
		return false
	}
	for d, level := range levels {
		if level > 0 && s.Rig.Emitter(d).Light.BlackLight() {
			return true
		}
	}
	return false
}

// Frozen is the light of a state as a freeze keeps it: as it is seen, but for lights that a
// hand has brought up.
func (s *Show) Frozen(f *Frame, state evening.State, ear *living.Ear) evening.Stands {
	state.LightsUp = false
	s.AtHeard(f, state, ear)
	return evening.Stand(f.Levels)
}

// Darken takes black light out of levels, and tells whether there was any.
func (s *Show) Darken(levels []float32) (was bool) {
	for d, level := range levels {
		if level > 0 && s.Rig.Emitter(d).Light.BlackLight() {
			levels[d], was = 0, true
		}
	}
	return was
}
