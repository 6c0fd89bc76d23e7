package plate

import (
	"fmt"
	"math"
	"slices"

	"lampblack/room"
	"lampblack/si"
)

// Instant is the light of a moment, and who and what is there.
type Instant struct {
	Levels    []float32
	Transport *room.Transport // with what moves where it is then; nil for that of the picture
	Absent    []bool          // by panel: what is not on stage; nil where all is
	Away      []bool          // by eye: who is not; nil where all are
	// Wears is what performers and seats are dressed in, by eye; black cloth where it is "" or nil.
	Wears []string
	// Hooded, by eye, have the same before their faces.
	Hooded []bool
}

// thing is something that is laid over the still room: a thing that moves, or a person.
type thing struct {
	name     string
	kind     room.Kind
	distance float64 // before the eye, m
	pixels   []covered
	// shines are what it looks like at nodes of a grid, cols across; light goes evenly between them.
	shines     []room.Shine
	cols, rows int
	low, high  [2]float64 // of a flat thing, from the corner of its first panel, m
}

// covered is a pixel of a thing: where on its grid, and how much of the pixel it fills.
type covered struct {
	at    int32
	share float32
	x, y  float32
	part  int32 // which grid of several
}

// Grid of a flat thing.
const (
	nodesAcross = 13
	nodesUp     = 9
)

// moving lists the flat things that move and are there, as the camera sees them.
func (s *Sight) moving(t *room.Transport, absent []bool, shining *room.Shining) []thing {
	type side struct {
		name string
		back bool
	}
	groups, order := map[side][]int{}, []side(nil)
	for i := range t.Panels {
		p := &t.Panels[i]
		if !p.Moves() || absent != nil && absent[i] {
			continue
		}
		key := side{p.Name, p.Back}
		if groups[key] == nil {
			order = append(order, key)
		}
		groups[key] = append(groups[key], i)
	}
	var out []thing
	for _, key := range order {
		if one, ok := s.flat(t, groups[key], shining); ok {
			out = append(out, one)
		}
	}
	return out
}

// flat is one side of a thing, which may be of several panels in one plane.
func (s *Sight) flat(t *room.Transport, panels []int, shining *room.Shining) (thing, bool) {
	p := &t.Panels[panels[0]]
	toward := 0.0
	for i := range p.Normal {
		toward += float64((s.camera.at[i] - p.Corner[i]) * p.Normal[i])
	}
	if toward <= 1e-6 {
		return thing{}, false
	}
	key := fmt.Sprintf("%s|%v|%.4f|%.4f|%.4f", p.Name, p.Back, p.Corner, p.U, p.V)
	out := s.known.flats[key]
	if out == nil {
		if len(s.known.flats) >= mostKept {
			clear(s.known.flats)
		}
		out = s.coverFlat(t, panels)
		s.known.flats[key] = out
	}
	if len(out.pixels) == 0 {
		return *out, false
	}
	one := *out
	one.shines = spreadOver(t, panels, p, one.low, one.high, shining)
	return one, true
}

// coverFlat finds the pixels of a flat thing.
func (s *Sight) coverFlat(t *room.Transport, panels []int) *thing {
	p := &t.Panels[panels[0]]
	out := &thing{name: p.Name, kind: p.Kind, cols: nodesAcross, rows: nodesUp,
		low: [2]float64{math.Inf(1), math.Inf(1)}, high: [2]float64{math.Inf(-1), math.Inf(-1)}}
	var all []room.Point
	for _, i := range panels {
		c := corners(&t.Panels[i])
		all = append(all, c[:]...)
		for _, q := range c {
			x, y := local(p, q)
			out.low, out.high = [2]float64{min(out.low[0], x), min(out.low[1], y)}, [2]float64{max(out.high[0], x), max(out.high[1], y)}
		}
	}
	out.distance = s.deep(all...)
	x0, y0, x1, y1 := s.box(all)
	for y := y0; y < y1; y++ {
		for x := x0; x < x1; x++ {
			c := covered{at: int32(y*s.Width + x)}
			near, far := s.limits(int(c.at))
			for k := range 4 {
				l, ok := t.TraceAmong(s.camera.at, s.direction(float64(x)+.25+.5*float64(k&1), float64(y)+.25+.5*float64(k>>1)), panels)
				if !ok || l.Distance > float64(far) || l.Distance < float64(near) {
					continue
				}
				u, v := local(p, onPanel(&t.Panels[l.Panel], l.X, l.Y))
				c.add((u-out.low[0])/(out.high[0]-out.low[0]), (v-out.low[1])/(out.high[1]-out.low[1]))
			}
			if c.share > 0 {
				c.x, c.y = c.x/(4*c.share)*(nodesAcross-1), c.y/(4*c.share)*(nodesUp-1)
				out.pixels = append(out.pixels, c)
			}
		}
	}
	return out
}

// add adds one of four rays that meets a thing at a place of its grid.
func (c *covered) add(x, y float64) {
	c.share += .25
	c.x, c.y = c.x+float32(x), c.y+float32(y)
}

// deep is how far before the eye the middle of points is, along the middle of the picture: of two
// things that face the audience the nearer is that which is less deep, however wide they are.
func (s *Sight) deep(points ...room.Point) float64 {
	sum := 0.
	for _, p := range points {
		for i, f := range s.camera.forward {
			sum += f * float64(p[i]-s.camera.at[i]) / float64(len(points))
		}
	}
	return sum
}

// local is where a point lies in the plane of a panel, from its corner.
func local(p *room.Panel, q room.Point) (x, y float64) {
	for i := range q {
		d := float64(q[i] - p.Corner[i])
		x += d * float64(p.U[i])
		y += d * float64(p.V[i])
	}
	return x, y
}

// spreadOver is what a thing looks like at the nodes of a grid: the mean of its patches, by how near
// they are, so that the borders of its panels do not show.
func spreadOver(t *room.Transport, panels []int, p *room.Panel, low, high [2]float64, shining *room.Shining) []room.Shine {
	type patch struct {
		x, y, area float64
		shine      room.Shine
	}
	var patches []patch
	area := 0.0
	for _, i := range panels {
		q := &t.Panels[i]
		for place := q.First; place < q.First+q.Cols*q.Rows; place++ {
			if a := t.Places[place].Area; a > 0 {
				x, y := local(p, t.Places[place].At)
				patches = append(patches, patch{x, y, a, shining.Patch(place)})
				area += a
			}
		}
	}
	out := make([]room.Shine, nodesAcross*nodesUp)
	if len(patches) == 0 {
		return out
	}
	reach := 1.44 * area / float64(len(patches)) // 2σ², σ 0.85 of a patch's side: by eye
	for i := range out {
		x, y := low[0]+(high[0]-low[0])*float64(i%nodesAcross)/(nodesAcross-1), low[1]+(high[1]-low[1])*float64(i/nodesAcross)/(nodesUp-1)
		sum, nearest, near := 0.0, math.Inf(1), room.Shine{}
		for _, q := range patches {
			d := (q.x-x)*(q.x-x) + (q.y-y)*(q.y-y)
			if d < nearest {
				nearest, near = d, q.shine
			}
			w := q.area * math.Exp(-d/reach)
			sum += w
			out[i] = out[i].Plus(&q.shine, float32(w))
		}
		if sum < 1e-9 {
			out[i] = near
			continue
		}
		out[i] = room.Shine{}.Plus(&out[i], float32(1/sum))
	}
	return out
}

// people lists the persons that are there, but for who sees.
func (s *Sight) people(t *room.Transport, n *Instant) []somebody {
	return slices.DeleteFunc(s.everybody(t, n), func(p somebody) bool { return p.eye == s.own || float64(si.Apart(p.at, s.camera.at)) < .3 })
}

// everybody lists all that are there.
func (s *Sight) everybody(t *room.Transport, n *Instant) []somebody {
	var out []somebody
	for e, place := range t.Eyes {
		p := &t.Places[place]
		if n.Away != nil && n.Away[e] {
			continue
		}
		one := somebody{place: place, eye: e, name: p.Name, at: p.At}
		if l, ok := t.Trace(p.At, room.Point{0, 0, -1}); ok {
			one.foot = float64(p.At[2]) - l.Distance
		}
		tall := float64(p.At[2]) - one.foot
		if tall < .3 {
			one.foot, tall = float64(p.At[2])-.8, .8 // over a table
		}
		one.sitting = p.Kind == room.KindSeat || tall < sits
		one.child = tall < 1
		out = append(out, one)
	}
	return out
}

// figures lays people out.
func (s *Sight) figures(t *room.Transport, n *Instant, a room.Aspect, shining *room.Shining) []thing {
	var out []thing
	pointer := t.Pointer()
	worn := map[string]*room.Worn{}
	dress := func(material string) *room.Worn {
		if worn[material] == nil {
			worn[material] = shining.Worn(a, material)
		}
		return worn[material]
	}
	for _, p := range s.people(t, n) {
		x, y, ok := s.pixel(p.at)
		if !ok || x < -float64(s.Width) || x > 2*float64(s.Width) || y < -float64(s.Height) {
			continue
		}
		b := s.body(&p, fmt.Sprintf("%d|%.2f|%.2f", p.place, p.at, p.foot), pointer)
		one := b.cover
		if len(one.pixels) == 0 {
			continue
		}
		one.name, one.kind = p.name, t.Places[p.place].Kind
		clothes, face := room.DefaultDrape, "skin"
		if n.Wears != nil && n.Wears[p.eye] != "" {
			clothes = n.Wears[p.eye]
		}
		if n.Hooded != nil && n.Hooded[p.eye] {
			face = clothes
		}
		for _, material := range []string{clothes, face} {
			for _, rays := range b.rays {
				one.shines = append(one.shines, dress(material).At(rays, p.place, n.Levels))
			}
		}
		out = append(out, one)
	}
	return out
}

// cover finds a body's pixels: where a ray meets the upright plane through it that is turned to the camera.
func (s *Sight) cover(b *body, p *somebody) {
	one := &b.cover
	one.cols, one.rows = bodyAcross, bodyUp
	one.distance = s.deep(p.at)
	x0, y0, x1, y1 := s.box([]room.Point{b.point(p, b.low[0], b.low[1]), b.point(p, b.high[0], b.low[1]), b.point(p, b.low[0], b.high[1]), b.point(p, b.high[0], b.high[1])})
	n := [2]float64{-b.right[1], b.right[0]} // level, away from the camera or toward it
	ahead := float64(p.at[0]-s.camera.at[0])*n[0] + float64(p.at[1]-s.camera.at[1])*n[1]
	for y := y0; y < y1; y++ {
		for x := x0; x < x1; x++ {
			i := y*s.Width + x
			nearest, farthest := s.limits(i)
			body, head := covered{at: int32(i)}, covered{at: int32(i), part: 1}
			for k := range 4 {
				d := s.direction(float64(x)+.25+.5*float64(k&1), float64(y)+.25+.5*float64(k>>1))
				slope := float64(d[0])*n[0] + float64(d[1])*n[1]
				far := ahead / slope
				way := far * math.Sqrt(float64(d[0]*d[0]+d[1]*d[1]+d[2]*d[2]))
				if !(far > 0) || way > float64(farthest) || way < float64(nearest) {
					continue
				}
				across := (float64(s.camera.at[0])+far*float64(d[0])-float64(p.at[0]))*b.right[0] + (float64(s.camera.at[1])+far*float64(d[1])-float64(p.at[1]))*b.right[1]
				up := float64(s.camera.at[2]) + far*float64(d[2]) - p.foot
				c := &head
				if !b.parts[1].holds(across, up) {
					if !b.parts[0].holds(across, up) {
						continue
					}
					c = &body
				}
				// Nodes stand at the sine of their angle, so that they are even over the angle.
				c.add((math.Asin(max(-1, min(1, across/b.high[0])))/1.2+1)/2, (up-b.low[1])/(b.high[1]-b.low[1]))
			}
			for _, c := range []covered{body, head} {
				if c.share > 0 {
					c.x = min(max(c.x/(4*c.share), 0), 1) * (bodyAcross - 1)
					c.y = min(max(c.y/(4*c.share)*bodyUp-.5, 0), bodyUp-1)
					one.pixels = append(one.pixels, c)
				}
			}
		}
	}
}

// over lists all things from far to near.
func (s *Sight) over(t *room.Transport, n *Instant, a room.Aspect, shining *room.Shining) []thing {
	out := append(s.moving(t, n.Absent, shining), s.figures(t, n, a, shining)...)
	slices.SortStableFunc(out, func(a, b thing) int {
		switch {
		case a.distance > b.distance:
			return -1
		case a.distance < b.distance:
			return 1
		}
		return 0
	})
	return out
}

// imaged lists all things in the mirrors, from far to near; of luminances alone.
func (s *Sight) imaged(t *room.Transport, n *Instant, a room.Aspect, shining *room.Shining) []thing {
	var out []thing
	for _, m := range s.mirrors {
		if a == room.All {
			out = append(out, m.over(t, n, a, shining)...)
		}
	}
	return out
}
