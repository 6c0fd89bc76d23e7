package plate

import (
	"math"

	"lampblack/room"
)

// builder fills in a Sight.
type builder struct {
	*Sight
	wanted  []bool
	dull    []bool
	pointer *room.Pointer
	at      []int32 // by pixel: its point, -1 before there is one
	unitOf  []int   // by column
	units   int
	given   []float32 // by point, then unit: what it gets for a watt
	most    []float32 // by unit: what is much of it
	under   []int     // pixels that show what lies under something
	still   []int     // panels that stay where they are
	moved   []bool    // units that are looked at alone, nil for all
	alone   [1]float32
	scratch []room.Ray
	within  []int16 // by pixel: the panel that it mirrors, -1 for none, or glint; nil without mirrors
}

func newBuilder(s *Sight, wanted, dull []bool) *builder {
	b := &builder{Sight: s, wanted: wanted, dull: dull, pointer: s.transport.Pointer(), unitOf: s.transport.UnitOf()}
	for i := range s.transport.Panels {
		if !s.transport.Panels[i].Moves() {
			b.still = append(b.still, i)
		}
	}
	for _, u := range b.unitOf {
		b.units = max(b.units, u+1)
	}
	b.most = make([]float32, b.units)
	return b
}

// look finds what every pixel shows, block by block: only panels whose box of pixels reaches a
// block can be met there.
func (b *builder) look() {
	b.at = make([]int32, b.Width*b.Height)
	for i := range b.at {
		b.at[i] = -1
	}
	var all []inView
	for _, i := range b.still {
		c := corners(&b.transport.Panels[i])
		if x0, y0, x1, y1 := b.box(c[:]); x1 > x0 && y1 > y0 {
			all = append(all, inView{i, x0, y0, x1, y1, b.quad(c[:])})
		}
	}
	var among []int
	for y := 0; y < b.Height; y += blockSide {
		for x := 0; x < b.Width; x += blockSide {
			among = among[:0]
			for i := range all {
				if s := &all[i]; s.x0 < x+blockSide && s.x1 > x && s.y0 < y+blockSide && s.y1 > y && s.reaches(float64(x), float64(y)) {
					among = append(among, s.panel)
				}
			}
			b.block(x, y, among)
		}
	}
	b.cover()
}

// inView is a panel in the picture: the box that it is in, and its corners where all are before the eye.
type inView struct {
	panel, x0, y0, x1, y1 int
	quad                  [][2]float64
}

// quad are points of the room in the picture; nil where one is behind the eye.
func (b *builder) quad(points []room.Point) [][2]float64 {
	var out [][2]float64
	for _, p := range points {
		x, y, ok := b.pixel(p)
		if !ok {
			return nil
		}
		out = append(out, [2]float64{x, y})
	}
	return out
}

// reaches tells whether the panel reaches into a block: no side of it has the whole block outside.
func (v *inView) reaches(x, y float64) bool {
	for i, p := range v.quad {
		q, in := v.quad[(i+1)%len(v.quad)], v.quad[(i+2)%len(v.quad)]
		side := func(x, y float64) float64 { return (q[0]-p[0])*(y-p[1]) - (q[1]-p[1])*(x-p[0]) }
		inner := side(in[0], in[1])
		if inner == 0 {
			continue
		}
		most := math.Inf(-1)
		for _, c := range [4][2]float64{{x - 1, y - 1}, {x + blockSide + 1, y - 1}, {x - 1, y + blockSide + 1}, {x + blockSide + 1, y + blockSide + 1}} {
			most = max(most, side(c[0], c[1])*math.Copysign(1, inner))
		}
		if most < 0 {
			return false
		}
	}
	return true
}

// block fills a block in. Where one panel is seen at all corners and lies before the planes of all
// others there, it fills the block: panels are convex, and which of two planes is nearer changes along a line.
func (b *builder) block(x0, y0 int, among []int) {
	x1, y1 := min(x0+blockSide, b.Width)-1, min(y0+blockSide, b.Height)-1
	if one, ok := b.fills(among, [4][2]int{{x0, y0}, {x1, y0}, {x0, y1}, {x1, y1}}); ok {
		among = []int{one}
	}
	for y := y0; y <= y1; y++ {
		for x := x0; x <= x1; x++ {
			i := y*b.Width + x
			b.panels[i] = -1
			l, ok := b.transport.TraceAmong(b.camera.at, b.direction(float64(x)+.5, float64(y)+.5), among)
			if !ok {
				b.far[i] = float32(math.Inf(1))
				continue
			}
			b.panels[i], b.far[i] = int16(l.Panel), float32(l.Distance)
			if _, weights := b.transport.Between(l); weights == [4]float64{} {
				b.under = append(b.under, i)
			}
		}
	}
}

// cover gives pixels that show what lies under something, as where a ray slips in under the edge
// of a cloth, to what is beside them: nobody knows the light there.
func (b *builder) cover() {
	bare := map[int]int16{}
	for _, i := range b.under {
		bare[i] = -1
	}
	for _, i := range b.under {
		for _, d := range []int{-b.Width, b.Width, -1, 1} {
			j := i + d
			if _, also := bare[j]; j >= 0 && j < len(b.panels) && !also && b.panels[j] >= 0 {
				bare[i] = b.panels[j]
				break
			}
		}
	}
	for i, p := range bare {
		if p >= 0 {
			b.panels[i] = p
		}
	}
}

// fills is the panel that alone is seen between four pixels.
func (b *builder) fills(among []int, at [4][2]int) (panel int, ok bool) {
	panel = -1
	for _, p := range at {
		d := b.direction(float64(p[0])+.5, float64(p[1])+.5)
		l, ok := b.transport.TraceAmong(b.camera.at, d, among)
		if !ok || panel >= 0 && l.Panel != panel {
			return -1, false
		}
		panel = l.Panel
		far := b.toPlane(panel, d)
		for _, other := range among {
			if v := b.toPlane(other, d); other != panel && v > 0 && v <= far*(1+1e-9) {
				return -1, false
			}
		}
	}
	return panel, true
}

// onPlane is where a ray meets a panel, or the place of it that is nearest to where it meets its plane.
func (b *builder) onPlane(panel int, d room.Point) (l room.Look, ok bool) {
	far := b.toPlane(panel, d)
	if far <= 0 {
		return l, false
	}
	p := &b.transport.Panels[panel]
	var at room.Point
	for i := range at {
		at[i] = b.camera.at[i] + lengthOf(far)*d[i]
	}
	x, y := local(p, at)
	return room.Look{Panel: panel, X: min(max(x/p.Width, 0), 1), Y: min(max(y/p.Height, 0), 1), Distance: far}, true
}

// toPlane is how many lengths of a ray a panel's plane is away; below 0 where it is not before the
// eye, or seen from behind.
func (b *builder) toPlane(panel int, d room.Point) float64 {
	p := &b.transport.Panels[panel]
	slope, off := 0., 0.
	for i, n := range p.Normal {
		slope += float64(n * d[i])
		off += float64(n * (p.Corner[i] - b.camera.at[i]))
	}
	if slope >= 0 {
		return -1
	}
	return off / slope
}
