package plate

import (
	"fmt"
	"math"
	"slices"

	"lampblack/room"
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
