package plate

import (
	"context"
	"slices"

	"lampblack/room"
)

// coarse works light out at the corners of the largest blocks, and from them what is much of each unit:
// what a twentieth of the corners that it lights have more of.
func (b *builder) coarse(ctx context.Context) error {
	for y := 0; y < b.Height; y += blockSide {
		if err := ctx.Err(); err != nil {
			return err
		}
		for x := 0; x < b.Width; x += blockSide {
			b.pixelPoint(x, y)
		}
	}
	for u := range b.units {
		b.most[u] = muchOf(b.given, u, b.units)
	}
	return nil
}

// muchOf is what a twentieth of the points that a unit lights have more of.
func muchOf(given []float32, unit, units int) float32 {
	var lit []float32
	for i := unit; i < len(given); i += units {
		if given[i] > 0 {
			lit = append(lit, given[i])
		}
	}
	if slices.Sort(lit); len(lit) > 0 {
		return lit[len(lit)*19/20]
	}
	return 0
}

// pixelPoint is the point in the middle of a pixel; 0 or more, or -1 where nothing is.
func (b *builder) pixelPoint(x, y int) int32 {
	i := y*b.Width + x
	if b.at[i] < 0 && b.panels[i] >= 0 {
		b.at[i] = b.point(int(b.panels[i]), float64(x)+.5, float64(y)+.5)
	}
	return b.at[i]
}

// point adds a point of a panel that is seen at a place of the picture.
func (b *builder) point(panel int, x, y float64) int32 {
	d := b.direction(x, y)
	l, ok := b.onPlane(panel, d)
	if !ok {
		return -1
	}
	out := b.lit(l)
	first := len(b.given)
	b.given = append(b.given, make([]float32, b.units)...)
	given := b.given[first:]
	for _, r := range b.rays[out.from:out.to] {
		if u := b.unitOf[r.Column]; u >= 0 {
			given[u] += r.PerWatt
		}
	}
	if b.transport.Mirrors(panel) {
		b.addMirrored(&out, d, given)
	}
	b.points = append(b.points, out)
	return int32(len(b.points) - 1)
}

// lit is a point of a panel with the light on it.
func (b *builder) lit(l room.Look) point {
	p := &b.transport.Panels[l.Panel]
	places, weights := b.transport.Between(l)
	out := point{panel: int32(l.Panel), mirror: -1, from: int32(len(b.rays)), at: onPanel(p, l.X, l.Y)}
	for i := range places {
		out.places[i], out.weights[i] = int32(places[i]), float32(weights[i])
	}
	if b.dull == nil || !b.dull[l.Panel] {
		b.rays = b.pointer.Direct(b.rays, out.at, p.Normal, b.wanted)
	}
	out.to = int32(len(b.rays))
	return out
}

// refine cuts the picture into cells and edges.
func (b *builder) refine(ctx context.Context) {
	for y := 0; y < b.Height && ctx.Err() == nil; y += blockSide {
		for x := 0; x < b.Width; x += blockSide {
			b.split(x, y, min(x+blockSide, b.Width-1), min(y+blockSide, b.Height-1))
		}
	}
}

// split handles the block between four pixels, the last of them in it.
func (b *builder) split(x0, y0, x1, y1 int) {
	size := max(x1-x0, y1-y0)
	if b.allDull(x0, y0, x1, y1) {
		return
	}
	switch one := b.uniform(x0, y0, x1, y1); {
	case one && b.panels[y0*b.Width+x0] < 0:
		return
	case one && (size <= finest || b.goesEvenly(x0, y0, x1, y1)):
		b.addCell(x0, y0, x1, y1)
	case !one && size <= atEdges:
		b.addEdges(x0, y0, x1, y1)
	default:
		// One of two pixels is not cut further along that side.
		x, y := (x0+x1)/2, (y0+y1)/2
		if x == x0 {
			x = x1
		}
		if y == y0 {
			y = y1
		}
		b.split(x0, y0, x, y)
		if x < x1 {
			b.split(x, y0, x1, y)
		}
		if y < y1 {
			b.split(x0, y, x, y1)
		}
		if x < x1 && y < y1 {
			b.split(x, y, x1, y1)
		}
	}
}

// allDull tells whether nothing of a block has anything of what is shown.
func (b *builder) allDull(x0, y0, x1, y1 int) bool {
	if b.dull == nil {
		return false
	}
	for y := y0; y <= y1; y++ {
		for _, p := range b.panels[y*b.Width+x0 : y*b.Width+x1+1] {
			if p >= 0 && !b.dull[p] {
				return false
			}
		}
	}
	return true
}

// uniform tells whether one panel fills a block, and mirrors one if it mirrors.
func (b *builder) uniform(x0, y0, x1, y1 int) bool {
	shown := [][]int16{b.panels, b.within}
	if b.within == nil {
		shown = shown[:1]
	}
	for _, of := range shown {
		first := of[y0*b.Width+x0]
		for y := y0; y <= y1; y++ {
			for _, p := range of[y*b.Width+x0 : y*b.Width+x1+1] {
				if p != first || p == glint {
					return false
				}
			}
		}
	}
	return true
}

// goesEvenly tells whether the light of every unit in the middle of a block, and in the middle of its
// upper and left sides, is what it should be between the corners.
func (b *builder) goesEvenly(x0, y0, x1, y1 int) bool {
	mx, my := (x0+x1)/2, (y0+y1)/2
	fx, fy := float32(mx-x0)/float32(max(x1-x0, 1)), float32(my-y0)/float32(max(y1-y0, 1))
	return b.between(x0, y0, x1, y1, mx, my, fx, fy) && b.between(x0, y0, x1, y1, mx, y0, fx, 0) && b.between(x0, y0, x1, y1, x0, my, 0, fy)
}

func (b *builder) between(x0, y0, x1, y1, x, y int, fx, fy float32) bool {
	points := [4]int32{b.pixelPoint(x0, y0), b.pixelPoint(x1, y0), b.pixelPoint(x0, y1), b.pixelPoint(x1, y1)}
	middle := b.givenAt(x, y)
	var corners [4][]float32 // rows move while points are added
	for i, p := range points {
		corners[i] = b.row(p)
	}
	for u, v := range middle {
		want := (corners[0][u]*(1-fx)+corners[1][u]*fx)*(1-fy) + (corners[2][u]*(1-fx)+corners[3][u]*fx)*fy
		if d := v - want; max(d, -d) > even*(max(v, want)+evenDark*b.most[u]) {
			return false
		}
	}
	return true
}

// givenAt is what each unit gives in the middle of a pixel. Where some units alone are looked at that is no point of the
// picture yet, which all others would have to light too.
func (b *builder) givenAt(x, y int) []float32 {
	i := y*b.Width + x
	if b.moved == nil || b.at[i] >= 0 {
		return b.row(b.pixelPoint(x, y))
	}
	b.alone[0] = 0
	if l, ok := b.onPlane(int(b.panels[i]), b.direction(float64(x)+.5, float64(y)+.5)); ok {
		p := &b.transport.Panels[l.Panel]
		b.scratch = b.pointer.Direct(b.scratch[:0], onPanel(p, l.X, l.Y), p.Normal, b.moved)
		for _, r := range b.scratch {
			b.alone[0] += r.PerWatt
		}
	}
	return b.alone[:]
}

func (b *builder) row(point int32) []float32 {
	return b.given[int(point)*b.units : (int(point)+1)*b.units]
}
