package room

import (
	"math"

	"lampblack/si"
	"lampblack/source"
)

// Pillar is an upright round post: a pole of a stand, a column of the hall.
type Pillar struct {
	source.Pos
	Foot     Point      `key:"foot,required"`   // the middle of its lower end
	Across   si.Length  `key:"across,required"` // its diameter
	Height   si.Length  `key:"height,required"`
	Material source.Ref `key:"material"`
}

// facets is how many flat sides a pillar is drawn with, of the same girth as the round one: its
// breadth, as it is seen and as its shadow falls, is within 2.4 % for thin ones of twelve (from
// cos 15° · (π/12)/sin 15°), and within 1.3 % for those of sixteen.
func (p *Pillar) facets() int {
	if p.Across < .3 {
		return 12
	}
	return 16
}

// ring is the outline of the pillar's facets from above, against the clock.
func (p *Pillar) ring(z float64) []vec {
	n := p.facets()
	r := float64(p.Across) / 2 * math.Pi / float64(n) / math.Sin(math.Pi/float64(n))
	foot := p.Foot.vec()
	var out []vec
	for i := range n {
		a := 2 * math.Pi * (float64(i) + .5) / float64(n)
		out = append(out, vec{foot[0] + r*math.Cos(a), foot[1] + r*math.Sin(a), foot[2] + z})
	}
	return out
}

// holds tells whether a point is inside the pillar.
func (p *Pillar) holds(q vec) bool {
	d := q.minus(p.Foot.vec())
	return math.Hypot(d[0], d[1]) < float64(p.Across)/2-slack && d[2] > slack && d[2] < float64(p.Height)-slack
}

// addPillars adds the facets of pillars and both their ends.
func (r *Room) addPillars(s *shell) {
	for i := range r.Pillars {
		p := &r.Pillars[i].Value
		fin, thing, name := r.finishOf(s, p.Material.Name, DefaultWall), len(s.panels), r.Pillars[i].Name
		h := float64(p.Height)
		ring := p.ring(0)
		for k, a := range ring {
			b := ring[(k+1)%len(ring)]
			out := a.plus(b).times(.5).minus(p.Foot.vec())
			face := sheet{}.placed(a.plus(b).times(.5).plus(vec{0, 0, h / 2}), out, b.minus(a).length(), h)
			s.addShaped(name, KindBox, &shaped{sheet: face}, fin, 1, thing)
			s.hide(face.n, true, thing, false, (&shaped{sheet: face}).edge())
		}
		top := p.end(p.ring(h), vec{0, 0, 1})
		for k := range ring {
			ring[k] = p.ring(0)[len(ring)-1-k]
		}
		bottom := p.end(ring, vec{0, 0, -1})
		for _, e := range []*shaped{&top, &bottom} {
			s.addShaped(name, KindBox, e, fin, 1, thing)
			s.hide(e.n, true, thing, false, e.outline)
		}
	}
}

// end is a ring as a flat thing.
func (p *Pillar) end(ring []vec, n vec) shaped {
	b := ballOf(ring)
	return shaped{sheet{}.placed(b.middle, n, 2*b.radius, 2*b.radius), ring}
}
