package show

import (
	"cmp"
	"slices"

	"lampblack/rig"
	"lampblack/room"
	"lampblack/score"
	"lampblack/source"
)

// isOut marks the units that are out; nil where all burn.
func (f *Files) isOut(r *rig.Rig) []bool {
	var out []bool
	for _, name := range f.Out {
		u := r.Index(name)
		if u < 0 {
			continue // of another rig than this
		}
		if out == nil {
			out = make([]bool, len(r.Units))
		}
		out[u] = true
	}
	return out
}

// burning leaves the units that are not out.
func (s *Show) burning(units []int) []int {
	if s.out == nil {
		return units
	}
	return slices.DeleteFunc(slices.Clone(units), func(u int) bool { return s.out[u] })
}

// cover darkens the units of a part that are out. Where the part asks for levels, the
// others of it take over; what it asks to be seen is solved for them anyhow.
func (s *Show) cover(l *Look, p *score.Part, units []int) {
	burning := s.burning(units)
	if len(burning) == len(units) {
		return
	}
	if p.Lux == nil && p.Glow == nil && len(burning) > 0 {
		s.raise(l, p, burning, units)
	}
	for _, u := range units {
		if s.out[u] {
			from, to := s.Rig.UnitDrives(u)
			clear(l.Levels[from:to])
			l.Flash[u] = 0
		}
	}
}

// raise lets units burn brighter, each in its own colour, so that every surface and object
// gets as nearly as can be what all units of the part would have given it together.
func (s *Show) raise(l *Look, p *score.Part, burning, all []int) {
	tops := make([]float64, len(burning)) // by how much of itself each can still rise
	for k, u := range burning {
		most := float32(0)
		s.named(p, u, func(d int) { most = max(most, l.Levels[d]) })
		if most > 0 {
			tops[k] = float64(1/most) - 1
		}
	}
	fit := newLeastSquares(len(burning))
	wishes := 0
	for _, row := range s.received() {
		given := func(u int) (sum float64) {
			s.named(p, u, func(d int) { sum += row[d] * float64(l.Levels[d]) })
			return sum
		}
		missing := 0.0
		for _, u := range all {
			if s.out[u] {
				missing += given(u)
			}
		}
		if missing <= 0 {
			continue
		}
		wish := make([]float64, len(burning))
		for k, u := range burning {
			wish[k] = given(u) / missing
		}
		fit.want(wish, 1, 1)
		wishes++
	}
	for k := range burning {
		fit.top[k] = max(tops[k], 1e-9)
		fit.small(k, leastWeight)
	}
	rise, _ := fit.solve()
	for k, u := range burning {
		if wishes == 0 { // nothing is there to be lit: all alike
			rise[k] = min(float64(len(all)-len(burning))/float64(len(burning)), tops[k])
		}
		s.named(p, u, func(d int) { l.Levels[d] = min(l.Levels[d]*float32(1+rise[k]), 1) })
	}
}

// named calls each with the drives of a unit of which a part speaks.
func (s *Show) named(p *score.Part, unit int, each func(drive int)) {
	from, to := s.Rig.UnitDrives(unit)
	for d := from; d < to; d++ {
		if s.Speaks(p, d) {
			each(d)
		}
	}
}

// Speaks tells whether a part speaks of a drive of one of its units. A glow speaks of
// black light alone and a colour of visible light alone, so that the two can be asked
// of one unit in two parts.
func (s *Show) Speaks(p *score.Part, d int) bool {
	drive := &s.Rig.Drives[d]
	if !inCells(drive, p.Cells) {
		return false
	}
	black := s.Rig.Emitter(d).Light.BlackLight()
	switch {
	case p.Glow != nil:
		return black
	case len(p.Emitters) > 0:
		return p.Emitters.Get(s.Rig.Units[drive.Unit].Type.Emitters[drive.Emitter].Name) != nil
	}
	return !black
}

// received has a row for each surface and object of the room: what it gets of every drive
// at full, as a mean, in W/m².
func (s *Show) received() [][]float64 {
	if s.Transport == nil {
		return nil
	}
	var rows [][]float64
	for _, name := range s.Transport.Names() {
		if row := s.Transport.MeanRow(name, room.Radiant); row != nil {
			rows = append(rows, row)
		}
	}
	return rows
}

// Lack is how much less light a surface or an object gets in a look while units are out.
type Lack struct {
	Look, On string
	Share    float64 // of what it gets when all units burn
}

// tellable is the least lack that is worth a word: a twentieth, which few eyes see.
const tellable = .05

// Lacks lists, for looks that lack light as units are out, what lacks most; those that lack
// most first. A look whose units' likes bring all that is missing is not in it.
func (s *Show) Lacks() []Lack {
	if s.out == nil || s.Transport == nil {
		return nil
	}
	all := s.on(s.Score, nil)
	all.out = nil
	var said source.Faults // with the show itself
	all.solve(&said)
	var out []Lack
	for i := range all.based {
		worst := Lack{Look: all.based[i].Name}
		for _, name := range s.Transport.Names() {
			row := s.Transport.MeanRow(name, room.Radiant)
			if row == nil {
				continue
			}
			was, is := dotLevels(row, all.based[i].Levels), dotLevels(row, s.based[i].Levels)
			if was > 0 && 1-is/was > worst.Share {
				worst.On, worst.Share = name, 1-is/was
			}
		}
		if worst.Share > tellable {
			out = append(out, worst)
		}
	}
	slices.SortStableFunc(out, func(a, b Lack) int { return cmp.Compare(b.Share, a.Share) })
	return out
}
