package draft

import (
	"fmt"
	"slices"

	"lampblack/score"
	"lampblack/source"
)

// leastWalk is the light, in lx, that paths need while people walk in a dark
// house: 0.2 fc, International Building Code 1008.2.1 as New York City has it.
const leastWalk = 2.1528

// workLight knows which light is for working or walking.
type workLight struct{ systems, units []string }

func (w *workLight) system(name string) bool { return slices.Contains(w.systems, name) }

// names tells whether a part speaks of such light.
func (w *workLight) names(p *score.Part) bool {
	return p.Use != "" || w.system(p.System.Name) || slices.ContainsFunc(p.Units, func(u source.Ref) bool { return slices.Contains(w.units, u.Name) })
}

// workIn lists the parts of a look that are such light. Earlier parts that a later one
// covers are not in force, and not listed.
func (s *stage) workIn(look string) []score.Part {
	var out []score.Part
	for _, p := range s.effective(look) {
		if s.work.names(&p) {
			out = append(out, p)
		}
	}
	return out
}

// keepWork returns the look, or one that is like it with the work light that stands,
// when the look alone would bring the paths below what walking needs, or below what
// they have where that is less. Where nothing marked stands, there is nothing to keep.
func (s *stage) keepWork(stands, look string) string {
	if s.walk[look] >= min(leastWalk, s.walk[stands]) {
		return look
	}
	parts := s.workIn(stands)
	if len(parts) == 0 {
		return look
	}
	base := s.written.Looks.Get(look)
	name := s.add(look+", safe to walk", score.Look{Like: source.Ref{Name: look}, Purpose: fmt.Sprintf("drafted: %s, with the paths lit as in %s", look, stands),
		Parts: parts, Fade: base.Fade, Dark: base.Dark, Eyes: base.Eyes})
	s.walk[name], s.bright[name] = s.walk[stands], s.brightness(look)
	return name
}
