package show

import (
	"slices"

	"lampblack/light"
	"lampblack/rig"
	"lampblack/score"
	"lampblack/source"
)

// solve works every look out for the rig.
func (s *Show) solve(faults *source.Faults) {
	m := newMixing(s.Rig)
	for i := range s.Score.Looks {
		e := &s.Score.Looks[i]
		l := Look{
			Name:    e.Name,
			Levels:  make([]float32, len(s.Rig.Drives)),
			Flash:   make([]float32, len(s.Rig.Units)),
			touches: make([]bool, len(s.Rig.Drives)),
		}
		parts := s.Score.Parts(e.Name)
		for j := range parts {
			s.part(&l, &parts[j], m, faults)
		}
		s.goals(&l, &e.Value, parts, faults)
		if e.Value.Fade == score.Even {
			l.path = s.evenPath(l.Levels)
		}
		s.Looks = append(s.Looks, l)
	}
}

// part adds one part of a look.
func (s *Show) part(l *Look, p *score.Part, m *mixing, faults *source.Faults) {
	units := s.units(p, faults)
	if len(units) == 0 {
		return
	}
	known := map[string]bool{}
	for _, u := range units {
		from, to := s.Rig.UnitDrives(u)
		for d := from; d < to; d++ {
			l.touches[d] = true
		}
		if p.Flash > 0 {
			l.Flash[u] = float32(p.Flash)
		}
		for _, e := range s.Rig.Units[u].Type.Emitters {
			known[e.Name] = true
		}
	}
	for _, e := range p.Emitters {
		if !known[e.Name] {
			faults.Add(e.Pos, "", "no unit of this part has an emitter %q", e.Name)
		}
	}
	if p.Colour != nil || p.Level != nil || p.Lux != nil {
		m.colour(s, l, p, units)
	}
	for _, u := range units {
		s.emitters(l, p, u)
	}
}

// units lists the units that a part names.
func (s *Show) units(p *score.Part, faults *source.Faults) []int {
	var out []int
	if p.System.Name != "" {
		out = s.Rig.System(p.System.Name)
		if len(out) == 0 {
			faults.Add(p.System.Pos, source.OneOf(p.System.Name, s.Rig.Systems()), "no unit belongs to a system %q", p.System.Name)
		}
	}
	for _, ref := range p.Units {
		u := s.Rig.Index(ref.Name)
		if u < 0 {
			faults.Add(ref.Pos, source.OneOf(ref.Name, s.Rig.UnitNames()), "there is no unit %q", ref.Name)
			continue
		}
		if !slices.Contains(out, u) {
			out = append(out, u)
		}
	}
	return slices.DeleteFunc(out, func(u int) bool { return s.Rig.Units[u].Mode == nil })
}

// emitters sets the emitters that the part names outright.
func (s *Show) emitters(l *Look, p *score.Part, unit int) {
	if len(p.Emitters) == 0 {
		return
	}
	from, to := s.Rig.UnitDrives(unit)
	for d := from; d < to; d++ {
		name := s.Rig.Units[unit].Type.Emitters[s.Rig.Drives[d].Emitter].Name
		if level := p.Emitters.Get(name); level != nil && inCells(&s.Rig.Drives[d], p.Cells) {
			l.Levels[d] = float32(*level)
		}
	}
}

// inCells tells whether the drive lights any of the cells, counted from 1; no
// cells means all.
func inCells(d *rig.Drive, cells []int) bool {
	if len(cells) == 0 {
		return true
	}
	return slices.ContainsFunc(cells, func(c int) bool { return slices.Contains(d.Cells, c-1) })
}

// mixing holds a mixer for each fixture type, of its emitters that are there
// to be seen.
type mixing struct {
	types map[*rig.Type]*typeMix
}

type typeMix struct {
	mixer    *light.Mixer
	emitters []int // indexes in Type.Emitters, in the mixer's order
}

func newMixing(r *rig.Rig) *mixing {
	m := &mixing{types: map[*rig.Type]*typeMix{}}
	for _, e := range r.Types {
		m.types[e.Value] = newTypeMix(e.Value)
	}
	return m
}

func newTypeMix(t *rig.Type) *typeMix {
	m := &typeMix{}
	var colours []light.XYZ
	var watts []float64
	for i := range t.Emitters {
		e := &t.Emitters[i].Value
		if e.Light.BlackLight() || len(colours) == light.MaxEmitters {
			continue
		}
		m.emitters = append(m.emitters, i)
		colours = append(colours, e.Light.Colour)
		watts = append(watts, e.Light.Watts)
	}
	m.mixer, _ = light.NewMixer(colours, watts) // nil when there is none to mix
	return m
}

// colour sets the units of a part to its colour, at its level of the
// brightest that has it. Without a colour the part is white: all that is there.
func (m *mixing) colour(s *Show, l *Look, p *score.Part, units []int) {
	level := 1.0
	if p.Level != nil {
		level = float64(*p.Level)
	}
	for _, u := range units {
		t := s.Rig.Units[u].Type
		mix := m.types[t]
		if mix.mixer == nil {
			continue
		}
		drives := mix.drives(p.Colour, level)
		from, to := s.Rig.UnitDrives(u)
		for d := from; d < to; d++ {
			i := slices.Index(mix.emitters, s.Rig.Drives[d].Emitter)
			if i >= 0 && inCells(&s.Rig.Drives[d], p.Cells) {
				l.Levels[d] = float32(drives[i])
			}
		}
	}
}

// drives mixes the colour at level, a share of its brightest.
func (t *typeMix) drives(c *score.Colour, level float64) []float64 {
	out := make([]float64, len(t.emitters))
	if c == nil {
		for i := range out {
			out[i] = level
		}
		return out
	}
	colour, err := light.ParseColour(c.Text)
	if err != nil {
		return out // said by score.Read
	}
	best := t.mixer.Mix(out, colour.XY.XYZ(1), light.Brightest)
	target := best.Colour.Times(level)
	t.mixer.Mix(out, target, light.Exact)
	return out
}
