package plate

import (
	"fmt"
	"math"
	"slices"

	"lampblack/room"
	"lampblack/si"
)

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
