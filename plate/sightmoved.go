package plate

import (
	"context"
	"fmt"
	"runtime"
	"slices"
	"sync"

	"lampblack/room"
)

// Rehung is the sight in a room whose units, those moved, hang or aim elsewhere ([room.Transport.Rehung]). All that
// pixels show and all other light is taken from s; blocks through which the moved light does not go evenly are
// cut further. It takes some hundredth of a second where a sight takes a second. People and things throw no shadow in it, and
// mirrors show the room as it was.
func (s *Sight) Rehung(ctx context.Context, t *room.Transport, moved []bool) (*Sight, error) {
	o := &Sight{
		Width: s.Width, Height: s.Height, transport: t, camera: s.camera, own: s.own, panels: s.panels, far: s.far,
		edges: s.edges, holes: s.holes, known: s.known, mirrors: s.mirrors, mirrored: slices.Clone(s.mirrored), in: s.in, beyond: s.beyond, whereIs: s.whereIs,
	}
	b := &builder{Sight: o, pointer: t.Pointer(), unitOf: movedOnly(t.UnitOf(), moved), units: 1, moved: moved}
	for i := range t.Panels {
		if !t.Panels[i].Moves() {
			b.still = append(b.still, i)
		}
	}
	b.relight(s, moved)
	b.at = make([]int32, o.Width*o.Height)
	for i := range b.at {
		b.at[i] = -1
	}
	for i := range s.cells {
		c := &s.cells[i]
		for k, p := range c.corner {
			x, y := lastPixels(c, o)
			b.at[[2]int32{c.y0, y}[k>>1]*int32(o.Width)+[2]int32{c.x0, x}[k&1]] = p
		}
	}
	b.most = []float32{muchOf(b.given, 0, 1)}
	for i := range s.cells {
		x, y := lastPixels(&s.cells[i], o)
		b.split(int(s.cells[i].x0), int(s.cells[i].y0), int(x), int(y))
	}
	if err := ctx.Err(); err != nil {
		return nil, fmt.Errorf("draw view: %w", err)
	}
	return o, nil
}

// lastPixels are those of a cell's right and lower corners: see addCell.
func lastPixels(c *cell, s *Sight) (x, y int32) {
	return min(c.x1, int32(s.Width)-1), min(c.y1, int32(s.Height)-1)
}

// movedOnly numbers the columns of units that moved as one, and the others not at all.
func movedOnly(unitOf []int, moved []bool) []int {
	for c, u := range unitOf {
		if unitOf[c] = -1; moved[u] {
			unitOf[c] = 0
		}
	}
	return unitOf
}

// relight gives all points of a sight the rays of the units moved, on all processors.
func (b *builder) relight(s *Sight, moved []bool) {
	rays := make([][]room.Ray, len(s.points))
	var wait sync.WaitGroup
	workers := runtime.GOMAXPROCS(0)
	for w := range workers {
		wait.Go(func() {
			pointer := b.transport.Pointer()
			for i := w; i < len(s.points); i += workers {
				p := &s.points[i]
				rays[i] = pointer.Direct(nil, p.at, b.transport.Panels[p.panel].Normal, moved)
			}
		})
	}
	wait.Wait()
	b.points, b.given = slices.Clone(s.points), make([]float32, len(s.points))
	b.rays = make([]room.Ray, 0, len(s.rays))
	for i := range b.points {
		p := &b.points[i]
		from := int32(len(b.rays))
		b.keep(s.rays[p.from:p.to])
		for _, r := range rays[i] {
			b.given[i] += r.PerWatt
		}
		b.rays = append(b.rays, rays[i]...)
		p.from, p.to, p.pixels = from, int32(len(b.rays)), 0
	}
	for i := range b.mirrored {
		p := &b.mirrored[i].behind
		from := int32(len(b.rays))
		b.keep(s.rays[p.from:p.to])
		p.from, p.to = from, int32(len(b.rays))
	}
	for i := range b.edges {
		for _, p := range b.edges[i].point {
			if p >= 0 {
				b.points[p].pixels += .25
			}
		}
	}
}

// keep adds the rays of units that did not move.
func (b *builder) keep(rays []room.Ray) {
	for _, r := range rays {
		if b.unitOf[r.Column] < 0 {
			b.rays = append(b.rays, r)
		}
	}
}
