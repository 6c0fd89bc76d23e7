package room

import (
	"math"

	"lampblack/si"
)

// Glossy surfaces mirror. What is followed is the first mirroring of a lamp in a flat surface, as eyes and points
// take it: the lamp is seen, and shines, from where its image is behind the surface, by the share that
// Fresnel's equations give. Between surfaces what is mirrored goes on as if it were scattered, so that none of it
// is lost; so at an eye it counts twice, once as the image and once, spread out, with the room. What is not
// followed: images of images, and the bright spots that a mirror throws on matt things.

// image is a glossy panel as a mirror.
type image struct {
	panel *Panel
	off   float64 // of its plane from the origin, along its normal
}

// images lists the panels that mirror, from their front.
func (s *shell) images() []image {
	var out []image
	for i := range s.panels {
		p := &s.panels[i]
		if s.finishes[p.finish].gloss.Mirrors() && !p.loose && !p.strip.away {
			out = append(out, image{p, p.corner.dot(p.n)})
		}
	}
	return out
}

// behind is where the image of a point is.
func (m *image) behind(p vec) vec { return p.minus(m.panel.n.times(2 * (p.dot(m.panel.n) - m.off))) }

// by is the point at which light from one point to another is mirrored; ok is false where the mirror does
// not reach, where it is covered, or when one of the two is not before it.
func (m *image) by(from, to vec) (at vec, ok bool) {
	n := m.panel.n
	a, b := from.dot(n)-m.off, to.dot(n)-m.off
	if a < skin || b < skin {
		return at, false
	}
	at = m.behind(from)
	at = at.plus(to.minus(at).times(a / (a + b)))
	x, y, _ := m.panel.local(at)
	if x < 0 || y < 0 || x > m.panel.w || y > m.panel.h || !m.panel.fills(at) {
		return at, false
	}
	for _, c := range m.panel.covered {
		if c.holds(at) {
			return at, false
		}
	}
	return at, true
}

// holds tells whether a point is inside all planes.
func (c cover) holds(p vec) bool {
	for _, q := range c {
		if p.dot(q.m) <= q.c {
			return false
		}
	}
	return true
}

// free tells whether nothing stands between two points.
func (s *shell) free(from, to vec) bool {
	d := to.minus(from)
	for i := range s.panes {
		q := &s.panes[i]
		slope := d.dot(q.n)
		if slope == 0 || q.oneSided && slope > 0 {
			continue
		}
		t := (q.off - from.dot(q.n)) / slope
		if t > 1e-6 && t < 1-1e-6 && q.holds(from.plus(d.times(t))) {
			return false
		}
	}
	return true
}

// holds tells whether a point of a pane's plane is in its outline.
func (q *pane) holds(at vec) bool {
	for k, a := range q.outline {
		if q.n.cross(q.outline[(k+1)%len(q.outline)].minus(a)).dot(at.minus(a)) < 0 {
			return false
		}
	}
	return true
}

// mirrored returns the share of a cell's light that a mirror sends to a point, and by where; 0 when none does. It
// goes by the middle of the cell.
func (g *lighting) mirrored(m *image, cell, at vec) (share float64, by vec) {
	by, ok := m.by(cell, at)
	if !ok || !g.shell.free(cell, by) || !g.shell.free(by, at) {
		return 0, by
	}
	c := cell.minus(by).unit().dot(m.panel.n)
	return g.shell.finishes[m.panel.finish].gloss.Share(c), by
}

// reflections adds to row what mirrors send to a point: of each image I(θ)·cos(incidence)/d², θ that at
// which its light leaves the lamp and d the whole way. It faces n, or each image in turn when that is nil.
func (g *lighting) reflections(row []float64, at vec, n *vec) {
	for k := range g.shell.mirrors {
		m := &g.shell.mirrors[k]
		for i := range g.lamps {
			l := &g.lamps[i]
			for c, from := range l.cells {
				share, by := g.mirrored(m, from, at)
				if share == 0 {
					continue
				}
				share *= math.Exp(-g.haze * (by.minus(from).length() + at.minus(by).length()))
				facing := by.minus(at).unit()
				if n != nil {
					facing = *n
				}
				l.shine(row[g.first[i]+c*len(l.beams):], from, by, at, facing, share)
			}
		}
	}
}

// shine adds the light of a cell, by beam, that goes by a mirror to a point that faces n.
func (l *lamp) shine(dst []float64, from, by, at, n vec, share float64) {
	out, in := by.minus(from), at.minus(by)
	first := out.length()
	far := first + in.length()
	incidence, off := -in.unit().dot(n), out.dot(l.axis)/first
	if incidence <= 0 || off <= 0 || out[2] > l.sinMask*first {
		return
	}
	for b, f := range l.beams {
		dst[b] += share * incidence / (far * far) * l.sends(f, out, off)
	}
}

// lensesMirrored lists the units that eye i sees into by way of mirrors.
func (s *solving) lensesMirrored(i int, rec *receiver) []View {
	g := lighting{sources: s.sources, shell: s.shell}
	var out []View
	for k := range g.shell.mirrors {
		m := &g.shell.mirrors[k]
		for u := range s.sources.lamps {
			l := &s.sources.lamps[u]
			v := View{Eye: i, Unit: u, OffGaze: math.Pi, In: m.panel.Name, From: m.behind(rec.at).point()}
			for c, from := range l.cells {
				share, by := g.mirrored(m, from, rec.at)
				if share == 0 || l.beam(by, from) == 0 {
					continue
				}
				v.Cells, v.Share = append(v.Cells, c), max(v.Share, share)
				d := by.minus(rec.at)
				if off := si.Angle(math.Acos(min(1, max(-1, d.dot(rec.n)/d.length())))); off < v.OffGaze {
					v.OffGaze, v.Distance = off, si.Length(m.behind(from).minus(rec.at).length())
				}
			}
			if len(v.Cells) > 0 {
				out = append(out, v)
			}
		}
	}
	return out
}

// Mirror is what a point shows of the room beside its own light, seen along a direction: that from Point
// toward Direction, by a share. Share is 0 where the surface is matt.
type Mirror struct {
	Point, Direction Point
	Share            float64
}

// Mirrored returns what the surface that a ray has met mirrors to where the ray came from; what lies there is then
// Traced from there on.
func (t *Transport) Mirrored(l Look, direction Point) Mirror {
	p := &t.Panels[l.Panel]
	d := direction.vec().unit()
	c := -d.dot(p.n)
	m := Mirror{Share: t.finishes[p.finish].gloss.Share(c)}
	if m.Share > 0 {
		m.Point = p.at(l.X, l.Y).plus(p.n.times(2 * skin)).point()
		m.Direction = d.plus(p.n.times(2 * c)).point()
	}
	return m
}

// Mirrors tells whether a panel mirrors anything.
func (t *Transport) Mirrors(panel int) bool {
	p := &t.Panels[panel]
	return t.finishes[p.finish].gloss.Mirrors() && !p.loose && !p.strip.away
}

// Lens adds to dst what shines toward a point of the lenses that a ray from there meets within some way: W/(m²·sr) for each
// watt, as intensity over the area that shines of a cell, seen at a slant. Lenses have no body: of several all are added.
func (p *Pointer) Lens(dst []Ray, from, direction Point, within float64) []Ray {
	at, d := from.vec(), direction.vec().unit()
	for i := range p.t.sources.lamps {
		l := &p.t.sources.lamps[i]
		slope := -d.dot(l.axis)
		if slope <= 1e-3 || -d[2] > l.sinMask {
			continue
		}
		for c, middle := range l.cells {
			far := middle.minus(at).dot(l.axis) / -slope
			if far <= skin || far >= within || !l.shines(middle, at.plus(d.times(far))) {
				continue
			}
			for b, f := range l.beams {
				if v := l.sends(f, d.times(-1), slope) / (float64(l.luminous.Best) * slope); v > 0 {
					dst = append(dst, Ray{int32(p.t.sources.first[i] + c*len(l.beams) + b), float32(v)})
				}
			}
		}
	}
	return dst
}

// shines tells whether a point of the plane of a cell's lens is in what shines of it.
func (l *lamp) shines(middle, at vec) bool {
	a, b := l.half()
	d := at.minus(middle)
	return math.Abs(d.dot(l.row)) <= a && math.Abs(d.dot(l.axis.cross(l.row))) <= b
}

// half is half of the sides of what shines of a cell: a rectangle in the proportions of its lens, of the area that shines.
func (l *lamp) half() (along, across float64) {
	along, across = max(l.along, leastLens)/2, max(l.across, leastLens)/2
	scale := math.Sqrt(float64(l.luminous.Best) / (4 * along * across))
	return along * scale, across * scale
}

// Shining lists the outlines of what shines of the rig's lenses, cell by cell.
func (t *Transport) Shining() [][4]Point {
	var out [][4]Point
	for i := range t.sources.lamps {
		l := &t.sources.lamps[i]
		a, b := l.half()
		u, v := l.row.times(a), l.axis.cross(l.row).times(b)
		for _, c := range l.cells {
			out = append(out, [4]Point{c.minus(u).minus(v).point(), c.plus(u).minus(v).point(), c.plus(u).plus(v).point(), c.minus(u).plus(v).point()})
		}
	}
	return out
}
