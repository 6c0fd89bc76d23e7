package plate

import (
	"image"

	"lampblack/room"
)

// shadedNodes is what a cell looks like at its nodes.
type shadedNodes struct {
	cell   int32
	shines []room.Shine
}

// shade takes shadows out of what was worked out without them.
func (c *Scene) shade(o *hiding, shining *room.Shining) {
	c.shaded = c.shaded[:0]
	if o == nil {
		return
	}
	for i := range o.cells {
		if !o.cells[i].even {
			c.shaded = append(c.shaded, shadedNodes{o.cells[i].cell, c.nodesOf(&o.cells[i], shining)})
		}
	}
	s := c.sight
	for _, h := range o.rays {
		if r := s.rays[h.ray]; h.point >= 0 && s.lit[r.Column] {
			shining.Add(&c.shines[h.point], int(s.points[h.point].panel), r, -h.share)
		}
	}
	c.shadeMirrors(o, shining)
}

// shadeMirrors takes shadows out of what mirrors show.
func (c *Scene) shadeMirrors(o *hiding, shining *room.Shining) {
	s := c.sight
	if len(s.mirrored) == 0 {
		return
	}
	less := make([]room.Shine, len(s.mirrored))
	for _, h := range o.rays {
		if h.point < 0 {
			i := -1 - h.point
			shining.Add(&less[i], int(s.mirrored[i].behind.panel), s.rays[h.ray], h.share)
		}
	}
	for i := range s.points {
		if m := s.points[i].mirror; m >= 0 && less[m] != (room.Shine{}) {
			c.mirrored[m] = c.mirrored[m].Plus(&less[m], -1)
			c.shines[i] = c.shines[i].Plus(&less[m], -s.mirrored[m].share)
		}
	}
}

// nodesOf is what a cell looks like at its nodes, of corners from which no shadow has been taken yet.
func (c *Scene) nodesOf(of *hiddenCell, shining *room.Shining) []room.Shine {
	s := c.sight
	cell := &s.cells[of.cell]
	across, down := cell.nodes(s.nodeStep())
	out := make([]room.Shine, across*down)
	var corner [4]room.Shine
	for k, p := range cell.corner {
		corner[k] = c.shines[p]
	}
	addBetween(out, &corner, across, nil)
	for i := range of.from {
		f := &of.from[i]
		if !s.litBy(f) {
			continue
		}
		for k, p := range cell.corner {
			corner[k] = room.Shine{}
			q := s.layer(&s.points[p], f.in)
			if rays := s.rays[f.rays[k][0]:f.rays[k][1]]; q != nil && len(rays) > 0 {
				corner[k] = shining.Falling(int(q.panel), rays)
				if f.in == 1 {
					corner[k] = room.Shine{}.Plus(&corner[k], s.mirrored[s.points[p].mirror].share)
				}
			}
		}
		addBetween(out, &corner, across, f.share)
	}
	return out
}

// litBy tells whether a lamp's cell gives any light to the corners of a cell.
func (s *Sight) litBy(f *hiddenFrom) bool {
	for _, k := range f.rays {
		for _, r := range s.rays[k[0]:k[1]] {
			if s.lit[r.Column] {
				return true
			}
		}
	}
	return false
}

// addBetween adds to nodes what lies between four corners, or takes a share of it away.
func addBetween(out []room.Shine, corner *[4]room.Shine, across int, less []float32) {
	down := len(out) / across
	for row := range down {
		y := float32(row) / float32(down-1)
		left, right := room.Shine{}.Plus(&corner[0], 1-y).Plus(&corner[2], y), room.Shine{}.Plus(&corner[1], 1-y).Plus(&corner[3], y)
		for col := range across {
			x, by, i := float32(col)/float32(across-1), float32(1), row*across+col
			if less != nil {
				if by = -less[i]; by == 0 {
					continue
				}
			}
			out[i] = out[i].Plus(&left, by*(1-x)).Plus(&right, by*x)
		}
	}
}

// paint fills a cell between its nodes.
func (n *shadedNodes) paint(dst *image.RGBA, c *cell, step int, dithered bool, paint func(*room.Shine) shown) {
	across, down := c.nodes(step)
	colours := make([]shown, len(n.shines))
	for i := range colours {
		colours[i] = paint(&n.shines[i])
	}
	edge := func(from, to int32, i, n int) int32 { return from + (to-from)*int32(i)/int32(n-1) }
	for row := range down - 1 {
		for col := range across - 1 {
			part := cell{x0: edge(c.x0, c.x1, col, across), x1: edge(c.x0, c.x1, col+1, across), y0: edge(c.y0, c.y1, row, down), y1: edge(c.y0, c.y1, row+1, down)}
			i := row*across + col
			part.between(dst, dithered, &colours[i], &colours[i+1], &colours[i+across], &colours[i+across+1])
		}
	}
}
