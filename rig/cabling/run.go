package cabling

import (
	"math"

	"lampblack/si"
)

// Place is a place in the room, as rig.yaml has them.
type Place = [3]si.Length

// The model of a run, in metres (common practice, no source).
const (
	overhead   = 2.3 // at and above it cables stay up: nobody walks into them
	oneStand   = 1.0 // less than that apart over the floor is one stand, or neighbours on it
	slackShare = .1  // of the way, for what is in it
	slackEnds  = 1.0 // half a metre at each end
	jointCosts = 5.0 // what a joint in a run counts as
)

// Run is how long a cable from a to b has to be, slack and all.
func Run(a, b Place) si.Length {
	flat := math.Abs(float64(a[0]-b[0])) + math.Abs(float64(a[1]-b[1]))
	za, zb := math.Max(float64(a[2]), 0), math.Max(float64(b[2]), 0)
	up := za + zb
	if za >= overhead && zb >= overhead || flat < oneStand {
		up = math.Abs(za - zb)
	}
	return si.Length((1+slackShare)*(flat+up) + slackEnds)
}
