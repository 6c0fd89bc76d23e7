package show

import (
	"time"

	"lampblack/evening"
)

// LightsUpTime is how long the lights take to come up: fast, without a flash.
const LightsUpTime = 500 * time.Millisecond

// AtState computes the light of a state of the evening: that of its place on the
// show's line, and over it the lights that a hand has brought up. Same state,
// same light; what happened before is in the state alone.
func (s *Show) AtState(f *Frame, state evening.State) {
	s.At(f, state.In)
	if state.LightsUp {
		s.LightsUp(f, float32(min(state.Up.Seconds()/LightsUpTime.Seconds(), 1)))
	}
}
