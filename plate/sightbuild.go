package plate

import (
	"context"
	"math"
	"slices"

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
	within  []int16   // by pixel: the panel that it mirrors, -1 for none, or glint; nil without mirrors
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
		var lit []float32
		for i := u; i < len(b.given); i += b.units {
			if b.given[i] > 0 {
				lit = append(lit, b.given[i])
			}
		}
		if slices.Sort(lit); len(lit) > 0 {
			b.most[u] = lit[len(lit)*19/20]
		}
	}
	return nil
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
		given[b.unitOf[r.Column]] += r.PerWatt
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
	points := [5]int32{b.pixelPoint(x0, y0), b.pixelPoint(x1, y0), b.pixelPoint(x0, y1), b.pixelPoint(x1, y1), b.pixelPoint(x, y)}
	var corners [5][]float32 // rows move while points are added
	for i, p := range points {
		corners[i] = b.row(p)
	}
	for u, v := range corners[4] {
		want := (corners[0][u]*(1-fx)+corners[1][u]*fx)*(1-fy) + (corners[2][u]*(1-fx)+corners[3][u]*fx)*fy
		if d := v - want; max(d, -d) > even*(max(v, want)+evenDark*b.most[u]) {
			return false
		}
	}
	return true
}

func (b *builder) row(point int32) []float32 {
	return b.given[int(point)*b.units : (int(point)+1)*b.units]
}

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
