package show

import (
	"slices"

	"lampblack/rig"
	"lampblack/score"
	"lampblack/source"
)

// solve works every look out for the rig.
func (s *Show) solve(faults *source.Faults) {
	m := newMixing(s.Rig, s.outputs)
	s.based, s.solved = nil, memo{}
	for i := range s.Score.Looks {
		s.based = append(s.based, s.lookOnce(&s.Score.Looks[i], m, nil, "", faults))
	}
	s.Looks = slices.Clone(s.based)
}

// look works one look out, of its parts and of those of the look that it is like, as what is on
// stage in the spans stands there; nil is that everything is there, at home.
func (s *Show) look(name string, look *score.Look, parts []score.Part, m *mixing, in []Span, faults *source.Faults) Look {
	l := Look{
		Name:    name,
		Levels:  make([]float32, len(s.Rig.Drives)),
		Flash:   make([]float32, len(s.Rig.Units)),
		touches: make([]bool, len(s.Rig.Drives)),
		owner:   slices.Repeat([]int{-1}, len(s.Rig.Drives)),
		among:   make([][][]float32, len(parts)),
	}
	for i := range parts {
		s.part(&l, i, &parts[i], m, faults)
		l.lives = l.lives || parts[i].Any()
	}
	s.solveGoals(&l, look, parts, in, faults)
	if look.Fade == score.Even {
		l.path = m.evenPath(s.Rig, l.Levels)
	}
	return l
}

// part adds one part of a look.
func (s *Show) part(l *Look, i int, p *score.Part, m *mixing, faults *source.Faults) {
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
		s.named(p, u, func(d int) { l.owner[d] = i })
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
	s.cover(l, p, units)
	if w := p.Wanders; w != nil && len(w.Among) > 0 {
		l.among[i] = s.amongOf(l, p, m, units, faults)
	}
}

// amongOf is the levels of a part for each colour among which it wanders.
func (s *Show) amongOf(l *Look, p *score.Part, m *mixing, units []int, faults *source.Faults) [][]float32 {
	if p.Lux != nil || p.Glow != nil || len(p.Emitters) > 0 {
		faults.Add(p.Wanders.Pos, "give the part a colour and a level", "colours among which light wanders are for a part that has a level")
		return nil
	}
	var out [][]float32
	for i := range p.Wanders.Among {
		one, other := *p, Look{Levels: slices.Clone(l.Levels), Flash: slices.Clone(l.Flash), touches: l.touches}
		one.Colour = &p.Wanders.Among[i]
		m.colour(s, &other, &one, units)
		s.cover(&other, &one, units)
		out = append(out, other.Levels)
	}
	return out
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
