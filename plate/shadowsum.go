package plate

import "slices"

// together is what several things hide: of a lens that two hide some of, what is left by one is hidden by the other as if
// they knew nothing of each other.
func (s *Sight) together(all []*hiding) *hiding {
	if len(all) == 1 {
		return all[0]
	}
	out := &hiding{cells: map[int32][]hiddenFrom{}}
	for _, one := range all {
		out.rays = append(out.rays, one.rays...)
	}
	slices.SortStableFunc(out.rays, func(a, b hidden) int { return int(a.ray - b.ray) })
	merged := out.rays[:0]
	for _, h := range out.rays {
		if k := len(merged) - 1; k >= 0 && merged[k].ray == h.ray {
			merged[k].share = 1 - (1-merged[k].share)*(1-h.share)
			continue
		}
		merged = append(merged, h)
	}
	out.rays = merged
	for _, one := range all {
		for k := range one.cells {
			if out.cells[k] == nil {
				out.cells[k] = s.hiddenOn(&s.cells[k], k, all)
			}
		}
	}
	return out
}

// hiddenOn is what all hide at the nodes of a cell.
func (s *Sight) hiddenOn(c *cell, k int32, all []*hiding) []hiddenFrom {
	var out []hiddenFrom
	for in := range 2 {
		for _, lamp := range s.lampsOf(c, in) {
			if h, ok := s.hiddenBy(c, k, all, lamp, in); ok {
				out = append(out, h)
			}
		}
	}
	return out
}

// hiddenBy is the same of one lamp's cell.
func (s *Sight) hiddenBy(c *cell, k int32, all []*hiding, lamp int32, in int) (h hiddenFrom, ok bool) {
	across, down := c.nodes()
	h = hiddenFrom{lamp, in, make([]float32, across*down)}
	for _, one := range all {
		for i, v := range one.nodes(s, c, k, lamp, in) {
			h.share[i] = 1 - (1-h.share[i])*(1-v)
			ok = ok || v > 0
		}
	}
	return h, ok
}

// nodes is what is hidden of a lamp's cell at the nodes of a cell; nil for nothing.
func (o *hiding) nodes(s *Sight, c *cell, k, lamp int32, in int) []float32 {
	if from, ok := o.cells[k]; ok {
		for i := range from {
			if from[i].lamp == lamp && from[i].in == in {
				return from[i].share
			}
		}
		return nil
	}
	var corner [4]float32
	for i, p := range c.corner {
		if from, to := s.raysOf(s.layer(&s.points[p], in), lamp); from < to {
			corner[i] = o.of(from)
		}
	}
	if corner == [4]float32{} {
		return nil
	}
	across, down := c.nodes()
	out := make([]float32, across*down)
	for i := range out {
		for k, w := range weightsOf(i, across, down) {
			out[i] += w * corner[k]
		}
	}
	return out
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
