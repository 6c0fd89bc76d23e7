package plate

// together is what several things hide: of a lens that two hide some of, what is left by one is hidden by the other as if
// they knew nothing of each other.
func (s *Sight) together(all []*hiding) *hiding {
	out := &hiding{}
	left := s.shadows.left
	if left == nil {
		left = make([]float32, len(s.rays))
		s.shadows.left = left
	}
	for _, one := range all {
		for _, h := range one.rays {
			if left[h.ray] == 0 {
				out.rays = append(out.rays, h)
			}
			left[h.ray] = 1 - (1-left[h.ray])*(1-h.share)
		}
	}
	for i := range out.rays {
		h := &out.rays[i]
		h.share, left[h.ray] = left[h.ray], 0
	}
	at := map[int32]int{}
	for _, one := range all {
		for _, c := range one.cells {
			i, known := at[c.cell]
			if !known {
				i = len(out.cells)
				at[c.cell] = i
				out.cells = append(out.cells, hiddenCell{cell: c.cell})
			}
			out.cells[i].add(c.from)
		}
	}
	kept := out.cells[:0]
	for _, c := range out.cells {
		if c.uneven(&s.cells[c.cell], s.nodeStep()) {
			c.find(s)
			kept = append(kept, c)
		}
	}
	out.cells = kept
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
