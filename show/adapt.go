package show

import (
	"math"

	"lampblack/score"
)

// A glow is judged by eyes that are adapted to what they see, which is not known before the
// look is solved. So a look with glows is solved for eyes that are adapted to its other light,
// and again for those that see what came of it, until they agree.

// mostAdaptings bounds how often a look is solved again; adapted is the change of adaptation,
// of 1 from rods to cones, that makes no account, less than tolerance in any ratio.
const (
	mostAdaptings = 6
	adapted       = .004
)

// eye is what a glow is judged by.
type eye struct {
	adapted float64 // room.Glow.Adapted
	enough  float64 // cd/m2 that all of the audience needs to see the object for what it is
}

// adapt finds the eyes for the light at levels, and returns by how much they changed.
func (f *fitting) adapt(levels []float32) float64 {
	if f.eyes == nil {
		f.eyes = map[*score.Glow]eye{}
	}
	change := 0.0
	for i := range f.parts {
		g := f.parts[i].Glow
		if g == nil || f.taken[i] {
			continue
		}
		was := f.eyes[g]
		now := eye{adapted: 1}
		for _, t := range f.where(g.Object.Name) {
			if glow, ok := t.Glow(g.Object.Name, levels); ok {
				now = eye{min(now.adapted, glow.Adapted), max(now.enough, float64(glow.Least.High))}
			}
		}
		f.eyes[g] = now
		if g.Over > 0 {
			change = max(change, math.Abs(now.adapted-was.adapted))
		}
		if g.Luminance == 0 {
			change = max(change, math.Abs(now.enough-was.enough)/(now.enough+1e-9)*adapted/tolerance)
		}
	}
	return change
}

// wantedGlow is the luminance that a glow is to have at least: what it says, or what makes it
// seen.
func (f *fitting) wantedGlow(g *score.Glow) float64 {
	if g.Luminance > 0 {
		return float64(g.Luminance)
	}
	return max(f.eyes[g].enough, .005)
}
