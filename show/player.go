package show

import "time"

// Player makes the frames of a show in another way than from its cues: a desk
// that has the show in its scenes. It may be asked by many goroutines at once,
// and must be still: same instant, same light.
type Player interface {
	// Light fills the frame's Levels and Flash with the state at t.
	Light(dst *Frame, t time.Duration)
	// Frame fills Levels, Flash and Universes with the state at t.
	Frame(dst *Frame, t time.Duration)
	// LightsUp takes a filled frame toward lights up, as Show.LightsUp does.
	LightsUp(dst *Frame, share float32)
}

// By returns a copy of the show whose frames come from the player, so that
// whatever takes a show can be given what becomes of it elsewhere. Looks, cues,
// rig and timing are still those of the show: whoever plays it sets in the copy
// what is another there.
func (s *Show) By(p Player) *Show {
	played := *s
	played.player = p
	return &played
}
