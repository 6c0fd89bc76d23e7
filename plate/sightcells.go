package plate

import (
	"math"
	"slices"
)

// addCell adds a block; one at the right or lower border takes its last pixels too.
func (b *builder) addCell(x0, y0, x1, y1 int) {
	c := cell{int32(x0), int32(y0), int32(x1), int32(y1), [4]int32{b.pixelPoint(x0, y0), b.pixelPoint(x1, y0), b.pixelPoint(x0, y1), b.pixelPoint(x1, y1)}}
	if x1 == b.Width-1 {
		c.x1++
	}
	if y1 == b.Height-1 {
		c.y1++
	}
	for _, p := range c.corner {
		b.points[p].pixels += float32((c.x1-c.x0)*(c.y1-c.y0)) / 4
	}
	b.cells = append(b.cells, c)
}

// addEdges adds the pixels of a block that something's edge goes through.
func (b *builder) addEdges(x0, y0, x1, y1 int) {
	endX, endY := x1, y1
	if x1 == b.Width-1 {
		endX++
	}
	if y1 == b.Height-1 {
		endY++
	}
	near := nearby{b, x0, y0, x1, y1}
	for y := y0; y < endY; y++ {
		for x := x0; x < endX; x++ {
			e := edge{at: int32(y*b.Width + x)}
			border, fine := b.borders(x, y), b.mirrorsFine(x, y)
			for k := range e.point {
				panel, sx, sy := int(b.panels[e.at]), float64(x)+.25+.5*float64(k&1), float64(y)+.25+.5*float64(k>>1)
				if border {
					panel = -1
					if l, ok := b.transport.TraceAmong(b.camera.at, b.direction(sx, sy), near.panels()); ok {
						panel = l.Panel
					}
				}
				if fine && panel >= 0 {
					e.point[k] = b.point(panel, sx, sy)
				} else {
					e.point[k] = near.point(panel, sx, sy)
				}
				if e.point[k] >= 0 {
					b.points[e.point[k]].pixels += .25
				}
			}
			b.edges = append(b.edges, e)
		}
	}
}

// borders tells whether a pixel or one beside it shows another panel.
func (b *builder) borders(x, y int) bool {
	is := b.panels[y*b.Width+x]
	return x > 0 && b.panels[y*b.Width+x-1] != is || x+1 < b.Width && b.panels[y*b.Width+x+1] != is ||
		y > 0 && b.panels[(y-1)*b.Width+x] != is || y+1 < b.Height && b.panels[(y+1)*b.Width+x] != is
}

// nearby is a small block with two pixels around it.
type nearby struct {
	*builder
	x0, y0, x1, y1 int
}

// panels are those that its pixels show.
func (n *nearby) panels() []int {
	var out []int
	n.each(func(x, y int) bool {
		if p := int(n.builder.panels[y*n.Width+x]); p >= 0 && !slices.Contains(out, p) {
			out = append(out, p)
		}
		return false
	})
	return out
}

// each calls f for its pixels until that is content.
func (n *nearby) each(f func(x, y int) bool) {
	for y := max(n.y0-2, 0); y <= min(n.y1+2, n.Height-1); y++ {
		for x := max(n.x0-2, 0); x <= min(n.x1+2, n.Width-1); x++ {
			if f(x, y) {
				return
			}
		}
	}
}

// point is one of a panel: in the nearest pixel that shows it, rather not at its edge, where
// the thin shadows of joints lie that one pixel in four would show.
func (n *nearby) point(panel int, x, y float64) int32 {
	if panel < 0 {
		return -1
	}
	const edge, known = 3, 1.5 // pixels that these are worth
	bestX, bestY, far := -1, -1, math.Inf(1)
	n.each(func(px, py int) bool {
		i := py*n.Width + px
		if int(n.builder.panels[i]) != panel {
			return false
		}
		d := math.Hypot(float64(px)+.5-x, float64(py)+.5-y)
		if n.borders(px, py) {
			d += edge
		}
		if n.at[i] >= 0 {
			d -= known
		}
		if d < far {
			bestX, bestY, far = px, py, d
		}
		return false
	})
	if bestX >= 0 {
		return n.pixelPoint(bestX, bestY)
	}
	return n.builder.point(panel, x, y)
}
