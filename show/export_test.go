package show

import "slices"

// KeptAt is the show with all of its movement kept by a factor, as it is written.
func (s *Show) KeptAt(factor float64) *Show {
	o := s.again()
	o.Cues = slices.Clone(s.Cues)
	o.softened = map[int]Softened{}
	for i := range s.Cues {
		o.softened[s.Cues[i].Index] = Softened{Keeps: factor, Slower: 1}
	}
	o.compile()
	return o
}
