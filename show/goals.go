package show

import (
	"lampblack/rig"
	"lampblack/score"
	"lampblack/source"
)

// goals fits the look to what it asks to be seen.
func (s *Show) goals(l *Look, look *score.Look, parts []score.Part, faults *source.Faults) {
	s.solveGoals(l, look, parts, faults)
}

// evenPath returns the states on the way to levels that look evenly spaced.
func (s *Show) evenPath(levels []float32) func(from []float32) [][]float32 { return nil }

func newEncoder(s *Show) *rig.Encoder { return rig.NewEncoder(s.Rig, s.universes) }
