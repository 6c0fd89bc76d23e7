package hand

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"lampblack/score"
	"lampblack/show"
	"lampblack/source"
)

// WriteTrims writes trims into all looks of a score's text, so that the looks without the
// trims are what they were with them. Levels and amounts of parts whose units are all trimmed
// alike are changed where they stand. What then is still another, as where a look asks to have
// something seen, gets a part of its own with amounts by emitter.
func WriteTrims(s *show.Show, file string, data []byte, trims []Trim) ([]byte, error) {
	m := &Mix{show: s, State: State{Trims: trims}, units: make([]bool, len(s.Rig.Units))}
	m.trim()
	data, err := m.scale(file, data)
	if err != nil {
		return nil, err
	}
	// Where a look asks to have something seen, its other lamps would make up for a trim: they
	// get a part of their own in the next round.
	for range rounds {
		sc, faults := score.Read(file, data)
		if err := faults.Err(); err != nil {
			return nil, err
		}
		now, faults := s.With(sc)
		if err := faults.Err(); err != nil {
			return nil, err
		}
		done := true
		for i := range s.Score.Looks {
			for _, part := range m.missing(&s.Looks[i], &now.Looks[i]) {
				done = false
				if data, err = addPart(file, data, s.Looks[i].Name, part); err != nil {
					return nil, err
				}
			}
		}
		if done {
			return data, nil
		}
	}
	return nil, errors.New("the looks cannot be brought to what they are with the trims; the files stay as they are")
}

// rounds is how often looks are worked out anew while trims are written into them: trimmed
// lamps first, those that would make up for them next, then a look whether all is well.
const rounds = 5

// scale changes the numbers of parts whose units are all trimmed by one factor.
func (m *Mix) scale(file string, data []byte) ([]byte, error) {
	sc := m.show.Score
	t, faults := source.OpenText(file, data)
	if err := faults.Err(); err != nil {
		return nil, err
	}
	for i := range sc.Looks {
		look := &sc.Looks[i]
		for k := range look.Value.Parts {
			p := &look.Value.Parts[k]
			f, alike := m.factorOf(p)
			if !alike || f == 1 {
				continue
			}
			path := append([]any{"looks", look.Name}, look.Value.Path(k)...)
			var err error
			switch {
			case p.Level != nil:
				err = t.SetKey("level", score.Percent(tidy(min(float64(*p.Level)*f, 1))), path...)
			case len(p.Emitters) > 0:
				for _, e := range p.Emitters {
					if err == nil {
						err = t.SetKey(source.Quote(e.Name), score.Percent(tidy(min(float64(e.Value)*f, 1))), append(slices.Clone(path), "emitters")...)
					}
				}
			}
			if err != nil {
				return nil, err
			}
		}
	}
	return t.Bytes()
}

// factorOf is the factor of a part's units, if it is the same for all of them.
func (m *Mix) factorOf(p *score.Part) (f float64, alike bool) {
	f = -1
	for _, u := range m.show.UnitsOf(p) {
		from, to := m.show.Rig.UnitDrives(u)
		if from == to {
			continue
		}
		own := float64(m.factor[from])
		if f >= 0 && f != own {
			return 1, false
		}
		f = own
	}
	return f, f >= 0
}

// tooNear is how far a level may be from what it is to be, as a share of full: what a slot of
// 8 bits cannot tell.
const tooNear = 1.0 / 512

// missing are the parts that bring a look from what it is now to the trimmed one.
func (m *Mix) missing(was, now *show.Look) []string {
	r := m.show.Rig
	type group struct {
		cells, emitters string
	}
	var order []group
	units := map[group][]string{}
	for u := range m.units {
		from, to := r.UnitDrives(u)
		for _, cells := range cellSets(m.show, u) {
			off, lit := false, false
			var list []string
			for d := from; d < to; d++ {
				if cellText(r.Drives[d].Cells) != cells {
					continue
				}
				want := min(was.Levels[d]*m.factor[d], 1)
				off = off || math.Abs(float64(want-now.Levels[d])) > tooNear
				lit = lit || was.Levels[d] > 0
				name := r.Units[u].Type.Emitters[r.Drives[d].Emitter].Name
				list = append(list, source.Quote(name)+": "+score.Percent(tidy(float64(want))))
			}
			if !off || !lit {
				continue
			}
			if len(cellSets(m.show, u)) == 1 {
				cells = ""
			}
			g := group{cells, strings.Join(list, ", ")}
			if units[g] == nil {
				order = append(order, g)
			}
			units[g] = append(units[g], source.Quote(r.Units[u].Name.Name))
		}
	}
	var parts []string
	for _, g := range order {
		parts = append(parts, fmt.Sprintf("{units: [%s], %semitters: {%s}}", strings.Join(units[g], ", "), g.cells, g.emitters))
	}
	return parts
}

// cellSets lists the sets of cells that the drives of a unit light, as files write them.
func cellSets(s *show.Show, unit int) []string {
	var out []string
	from, to := s.Rig.UnitDrives(unit)
	for d := from; d < to; d++ {
		if text := cellText(s.Rig.Drives[d].Cells); !slices.Contains(out, text) {
			out = append(out, text)
		}
	}
	return out
}

func cellText(cells []int) string {
	list := make([]string, len(cells))
	for i, c := range cells {
		list[i] = fmt.Sprint(c + 1)
	}
	return "cells: [" + strings.Join(list, ", ") + "], "
}

// addPart adds a part to a look.
func addPart(file string, data []byte, look, part string) ([]byte, error) {
	t, faults := source.OpenText(file, data)
	if err := faults.Err(); err != nil {
		return nil, err
	}
	if err := score.AddPart(t, look, part); err != nil {
		return nil, err
	}
	return t.Bytes()
}
