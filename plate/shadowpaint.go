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
	for k, from := range o.cells {
		c.shaded = append(c.shaded, shadedNodes{k, c.nodesOf(&c.sight.cells[k], from, shining)})
	}
	s := c.sight
	for _, h := range o.rays {
		ray := s.rays[h.ray : h.ray+1]
		if h.point >= 0 {
			v := shining.Falling(int(s.points[h.point].panel), ray)
			c.shines[h.point] = c.shines[h.point].Plus(&v, -h.share)
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
			v := shining.Falling(int(s.mirrored[i].behind.panel), s.rays[h.ray:h.ray+1])
			less[i] = less[i].Plus(&v, h.share)
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
func (c *Scene) nodesOf(cell *cell, from []hiddenFrom, shining *room.Shining) []room.Shine {
	s := c.sight
	across, down := cell.nodes()
	out := make([]room.Shine, across*down)
	lights := make([][4]room.Shine, len(from))
	for k, p := range cell.corner {
		for i := range from {
			q := s.layer(&s.points[p], from[i].in)
			if a, b := s.raysOf(q, from[i].lamp); a < b {
				lights[i][k] = shining.Falling(int(q.panel), s.rays[a:b])
				if from[i].in == 1 {
					lights[i][k] = room.Shine{}.Plus(&lights[i][k], s.mirrored[s.points[p].mirror].share)
				}
			}
		}
	}
	for i := range out {
		for k, w := range weightsOf(i, across, down) {
			out[i] = out[i].Plus(&c.shines[cell.corner[k]], w)
			for j := range from {
				if h := from[j].share[i]; h > 0 {
					out[i] = out[i].Plus(&lights[j][k], -w*h)
				}
			}
		}
	}
	return out
}

// paint fills a cell between its nodes.
func (n *shadedNodes) paint(dst *image.RGBA, c *cell, dithered bool, paint func(*room.Shine) shown) {
	across, down := c.nodes()
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
