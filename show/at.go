package show

import "time"

// At fills dst with the state at t and returns it. It allocates nothing.
func (s *Show) At(dst *Frame, t time.Duration) *Frame { panic("show: not yet") }

// CueAt returns the index in Cues of the last cue that has started at t, or -1.
func (s *Show) CueAt(t time.Duration) int { panic("show: not yet") }
