package plate

import (
	"maps"
	"slices"
)

// add makes all of what is there. What stood where it stands in the picture before as well is added up once.
func (k *shadows) add(s *Sight, keys []string, all []*hiding) {
	stays := map[string]bool{}
	for _, key := range keys {
		if k.last[key] {
			stays[key] = true
		}
	}
	if k.base == nil || !maps.Equal(stays, k.still) {
		var of []*hiding
		for i, key := range keys {
			if stays[key] {
				of = append(of, all[i])
			}
		}
		k.base, k.still = s.together(&hiding{}, of), stays
	}
	var rest []*hiding
	k.last = map[string]bool{}
	for i, key := range keys {
		k.last[key] = true
		if !stays[key] {
			rest = append(rest, all[i])
		}
	}
	k.all = k.base
	if len(rest) > 0 {
		k.all = s.together(k.base, rest)
	}
}

// together adds what several things hide: of a lens that two hide some of, what is left by one is hidden by the other as
// if they knew nothing of each other.
func (s *Sight) together(base *hiding, more []*hiding) *hiding {
	out := &hiding{rays: s.raysTogether(base, more), cells: slices.Clone(base.cells), where: maps.Clone(base.where)}
	if out.where == nil {
		out.where = map[int32]int{}
	}
	changed := map[int]bool{}
	for _, one := range more {
		for _, c := range one.cells {
			i, known := out.where[c.cell]
			if !known {
				i = len(out.cells)
				out.where[c.cell] = i
				out.cells = append(out.cells, hiddenCell{cell: c.cell})
			}
			if !changed[i] { // what is in base stays as it is
				changed[i] = true
				out.cells[i].from = slices.Clone(out.cells[i].from)
				for k := range out.cells[i].from {
					out.cells[i].from[k].share = slices.Clone(out.cells[i].from[k].share)
				}
			}
			out.cells[i].add(c.from)
		}
	}
	for i := range changed {
		c := &out.cells[i]
		if c.even = !c.uneven(&s.cells[c.cell], s.nodeStep()); !c.even {
			c.find(s)
		}
	}
	return out
}

// raysTogether is together for rays.
func (s *Sight) raysTogether(base *hiding, more []*hiding) []hidden {
	out := slices.Clone(base.rays)
	left := s.shadows.left
	if left == nil {
		left = make([]float32, len(s.rays))
		s.shadows.left = left
	}
	for _, h := range out {
		left[h.ray] = h.share
	}
	for _, one := range more {
		for _, h := range one.rays {
			if left[h.ray] == 0 {
				out = append(out, h)
			}
			left[h.ray] = 1 - (1-left[h.ray])*(1-h.share)
		}
	}
	for i := range out {
		h := &out[i]
		h.share, left[h.ray] = left[h.ray], 0
	}
	return out
}

// add adds what another thing hides.
func (c *hiddenCell) add(from []hiddenFrom) {
	for _, f := range from {
		known := false
		for i := range c.from {
			if h := &c.from[i]; h.lamp == f.lamp && h.in == f.in {
				known = true
				for k, v := range f.share {
					h.share[k] = 1 - (1-h.share[k])*(1-v)
				}
			}
		}
		if !known {
			f.share = append([]float32(nil), f.share...)
			c.from = append(c.from, f)
		}
	}
}

// uneven tells whether the corners of a cell do not say what is between them.
func (c *hiddenCell) uneven(of *cell, step int) bool {
	across, down := of.nodes(step)
	for i := range c.from {
		if !goesStraight(c.from[i].share, across, down) {
			return true
		}
	}
	return false
}

// find finds the rays that are hidden from the corners of the cell.
func (c *hiddenCell) find(s *Sight) {
	for k, p := range s.cells[c.cell].corner {
		for i := range c.from {
			c.from[i].rays[k][0], c.from[i].rays[k][1] = s.raysOf(s.layer(&s.points[p], c.from[i].in), c.from[i].lamp)
		}
	}
}

// raysOf are the rays of a point that come from a lamp's cell.
func (s *Sight) raysOf(q *point, lamp int32) (from, to int32) {
	if q == nil {
		return 0, 0
	}
	from = q.from
	for from < q.to && s.shadows.cellOf[s.rays[from].Column] != lamp {
		from++
	}
	to = from
	for to < q.to && s.shadows.cellOf[s.rays[to].Column] == lamp {
		to++
	}
	return from, to
}
