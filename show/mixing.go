package show

import (
	"fmt"
	"slices"

	"lampblack/light"
	"lampblack/rig"
	"lampblack/score"
)

// mixing holds a mixer for each unit, of its emitters that are there to be seen; units of
// one type share it, but for those that measuring found to give otherwise. Colours are in
// candelas on the axis, so that unlike units can be held against one another where their
// light lands.
type mixing struct {
	units []*typeMix // nil for a unit without a type
}

type typeMix struct {
	mixer    *light.Mixer // nil when there is nothing to mix
	emitters []int        // indexes in Type.Emitters, in the mixer's order
}

// newMixing makes the mixers. outputs is by unit what measuring found of each emitter, over
// what its type's file says; nil where nothing was measured.
func newMixing(r *rig.Rig, outputs [][]float64) *mixing {
	m := &mixing{}
	known := map[string]*typeMix{} // units that give the same share one
	for u := range r.Units {
		t := r.Units[u].Type
		if t == nil {
			m.units = append(m.units, nil)
			continue
		}
		var of []float64
		if outputs != nil {
			of = outputs[u]
		}
		key := fmt.Sprintf("%p %.3v", t, of)
		if known[key] == nil {
			known[key] = newTypeMix(t, of)
		}
		m.units = append(m.units, known[key])
	}
	return m
}

// newTypeMix makes the mixer of a type, or of a unit of it whose outputs were found to be
// those of the file times these, by emitter.
func newTypeMix(t *rig.Type, outputs []float64) *typeMix {
	m := &typeMix{}
	var colours []light.XYZ
	var watts []float64
	for i := range t.Emitters {
		e := &t.Emitters[i].Value
		if e.Light.BlackLight() || len(colours) == light.MaxEmitters {
			continue
		}
		times := 1.0
		if outputs != nil {
			times = outputs[i]
		}
		m.emitters = append(m.emitters, i)
		colours = append(colours, e.Light.Colour.Times(t.Peak(e)*times))
		watts = append(watts, e.Light.Watts*times)
	}
	m.mixer, _ = light.NewMixer(colours, watts)
	return m
}

// colour sets the units of a part to its colour, at its level of the brightest that has
// it. Without a colour the part is white: all that is there. Unlike units are matched:
// one colour that all of them reach, at the intensity of the weakest. Levels of the
// part's other cells, and of black light, are left alone.
func (m *mixing) colour(s *Show, l *Look, p *score.Part, units []int) {
	level := 1.0
	if p.Level != nil {
		level = float64(*p.Level)
	}
	drives, unable := m.drives(units, p.Colour, level)
	for _, u := range units {
		mix := m.units[u]
		l.Unable = slices.DeleteFunc(l.Unable, func(k int) bool { return k == u }) // the last part that asks counts
		if unable[mix] {
			l.Unable = append(l.Unable, u)
		}
		from, to := s.Rig.UnitDrives(u)
		for d := from; d < to; d++ {
			i := slices.Index(mix.emitters, s.Rig.Drives[d].Emitter)
			if i >= 0 && inCells(&s.Rig.Drives[d], p.Cells) {
				l.Levels[d] = float32(drives[mix][i])
			}
		}
	}
}

// drives mixes the colour for every kind among the units. One kind by itself is mixed
// in two steps, as it may be brighter alone than in company: the brightest that has the
// colour, and then exactly that colour dimmed.
//
// A kind that has nothing near the colour, where others have it, is left dark: matched, it
// would take the colour from them all. It is in unable.
func (m *mixing) drives(units []int, c *score.Colour, level float64) (out map[*typeMix][]float64, unable map[*typeMix]bool) {
	out = map[*typeMix][]float64{}
	var kinds []*typeMix
	var mixers []*light.Mixer
	for _, u := range units {
		mix := m.units[u]
		if _, seen := out[mix]; seen {
			continue
		}
		out[mix] = make([]float64, len(mix.emitters))
		for i := range out[mix] {
			out[mix][i] = level
		}
		if mix.mixer != nil {
			kinds, mixers = append(kinds, mix), append(mixers, mix.mixer)
		}
	}
	if c == nil || len(kinds) == 0 {
		return out, nil
	}
	colour, err := light.ParseColour(c.Text)
	if err != nil {
		return out, nil // said by score.Read
	}
	kinds, mixers, unable = able(kinds, mixers, colour.XY.UV(), level)
	for k := range unable {
		clear(out[k])
	}
	wanted, _ := light.Nearest(mixers, colour.XY.UV(), level)
	if len(kinds) == 1 {
		best := mixers[0].Mix(out[kinds[0]], wanted.XY().XYZ(1), light.Brightest)
		mixers[0].Mix(out[kinds[0]], best.Colour.Times(level), light.Exact)
		return out, unable
	}
	m.match(out, kinds, mixers, wanted, level)
	return out, unable
}

// How near to a colour a kind must come to have it, and how far it is from it that has nothing
// of it, in u'v': one and five times what an audience takes for another colour (choices).
const (
	hasColour    = .02
	lacksColours = .1
)

// able parts kinds that lack a colour from those that have it, if any does.
func able(kinds []*typeMix, mixers []*light.Mixer, c light.UV, level float64) ([]*typeMix, []*light.Mixer, map[*typeMix]bool) {
	has := false
	off := make([]float64, len(kinds))
	for i := range kinds {
		near, _ := light.Nearest(mixers[i:i+1], c, level)
		off[i] = near.Distance(c)
		has = has || off[i] <= hasColour
	}
	if !has {
		return kinds, mixers, nil
	}
	var of []*typeMix
	var with []*light.Mixer
	unable := map[*typeMix]bool{}
	for i := range kinds {
		if off[i] > lacksColours {
			unable[kinds[i]] = true
			continue
		}
		of, with = append(of, kinds[i]), append(with, mixers[i])
	}
	return of, with, unable
}

// match finds one colour for unlike kinds. At level 0 there is nothing to match.
// Dimming wants another mix where steps are coarse or emitters fall out: it keeps the
// hue, and gives up saturation where they cannot agree.
func (m *mixing) match(out map[*typeMix][]float64, kinds []*typeMix, mixers []*light.Mixer, wanted light.UV, level float64) {
	best, err := light.Together(mixers, wanted.XY().XYZ(1), light.Brightest)
	if err != nil || level <= 0 || best.Colour.Y <= 0 {
		for _, k := range kinds {
			clear(out[k])
		}
		return
	}
	if level < 1 {
		if dimmed, err := light.Together(mixers, best.Colour.Times(level), light.Hue); err == nil {
			best = dimmed
		}
	}
	for i, k := range kinds {
		copy(out[k], best.Drives[i])
	}
}

// fadeKnots is how many states a fade that is even to the eye is stored in. Between
// them it runs straight in light; at 16 pieces no eye finds the corners (this tool's
// choice).
const fadeKnots = 17

// course is the way of a fade that does not run straight in light.
type course struct {
	knots [][]float32 // states at even steps of the fade
	// falls tells, by drive, which of the two times it keeps: that of what
	// gets darker, or that of what gets brighter.
	falls []bool
}

// evenPath returns a function that gives the course from a state to levels:
// the emitters of each cell that are there to be seen travel together, evenly
// for the eye, in the time that the light of the cell as a whole keeps; the
// others go straight, each in its own.
func (m *mixing) evenPath(r *rig.Rig, levels []float32) func(from []float32) *course {
	return func(from []float32) *course {
		c := &course{knots: make([][]float32, fadeKnots), falls: make([]bool, len(levels))}
		for d := range levels {
			c.falls[d] = levels[d] < from[d]
		}
		for k := range c.knots {
			c.knots[k] = make([]float32, len(levels))
			x := float32(k) / (fadeKnots - 1)
			for d := range levels {
				c.knots[k][d] = toward(from[d], levels[d], x)
			}
		}
		for u := range r.Units {
			for _, group := range m.cells(r, u) {
				m.evenCell(u, group, from, levels, c)
			}
		}
		return c
	}
}

// cells groups the drives of a unit that shine from the same cells, in the
// order of its mixer's emitters; -1 stands for an emitter without a drive.
func (m *mixing) cells(r *rig.Rig, u int) [][]int {
	if r.Units[u].Mode == nil {
		return nil
	}
	mix := m.units[u]
	var groups [][]int
	var keys [][]int
	from, to := r.UnitDrives(u)
	for d := from; d < to; d++ {
		i := slices.Index(mix.emitters, r.Drives[d].Emitter)
		if i < 0 {
			continue
		}
		g := slices.IndexFunc(keys, func(k []int) bool { return slices.Equal(k, r.Drives[d].Cells) })
		if g < 0 {
			g = len(keys)
			keys = append(keys, r.Drives[d].Cells)
			groups = append(groups, slices.Repeat([]int{-1}, len(mix.emitters)))
		}
		groups[g][i] = d
	}
	return groups
}

// evenCell lays the path of one cell's mix into the knots, the ends of which stay as
// they are. Whether the cell falls is told by its luminance as a whole: in a fade from
// red to a brighter blue the red goes out in the time of up.
func (m *mixing) evenCell(unit int, group []int, from, to []float32, c *course) {
	mixer := m.units[unit].mixer
	if mixer == nil {
		return
	}
	a, b := make([]float64, len(group)), make([]float64, len(group))
	for i, d := range group {
		if d >= 0 {
			a[i], b[i] = float64(from[d]), float64(to[d])
		}
	}
	falls := mixer.Colour(b).Y < mixer.Colour(a).Y
	path := mixer.NewFade(a, b, light.Even).Knots(len(c.knots))
	for i, d := range group {
		if d < 0 {
			continue
		}
		c.falls[d] = falls
		for k := 1; k < len(c.knots)-1; k++ {
			c.knots[k][d] = float32(path[k][i])
		}
	}
}
