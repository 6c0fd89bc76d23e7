package plate

import (
	"math"

	"lampblack/room"
)

// Glossy things show what they mirror. A ray that meets one goes on by the law of reflection to what it meets
// then, surface or lens, and that is added by the share of Fresnel's equations to what the glossy thing scatters itself:
//
//	what it looks like = its own light + share · what the ray meets next
//
// Things and people that are laid over the room are mirrored as they would be seen by the eye's image behind the
// mirror. What a mirror shows is followed no further: a mirror in a mirror shows its own light alone.

// mirrored is what a point of the picture shows of the room beside its own light.
type mirrored struct {
	share  float32
	behind point      // its panel is -1 where there is nothing
	lenses []room.Ray // that the ray meets
}

// mirror is a plane of glossy panels, with the sight that the eye's image behind it has.
type mirror struct {
	panels []bool // by panel
	*Sight
}

// findMirrors lists the planes of the glossy panels that the picture shows.
func (b *builder) findMirrors() {
	seen := map[int16]bool{}
	for _, p := range b.panels {
		seen[p] = true
	}
	for i := range b.transport.Panels {
		if !seen[int16(i)] || !b.transport.Mirrors(i) {
			continue
		}
		p := &b.transport.Panels[i]
		m := b.mirrorIn(p)
		if m == nil {
			m = b.newMirror(p)
		}
		m.panels[i] = true
	}
}

// mirrorIn is the mirror in whose plane a panel lies; nil when there is none yet.
func (b *builder) mirrorIn(p *room.Panel) *mirror {
	for _, m := range b.mirrors {
		for i, in := range m.panels {
			q := &b.transport.Panels[i]
			if !in {
				continue
			}
			turned, off := 0., 0.
			for k := range p.Normal {
				turned += float64(p.Normal[k] * q.Normal[k])
				off += float64((p.Corner[k] - q.Corner[k]) * q.Normal[k])
			}
			if turned > 1-1e-9 && math.Abs(off) < 1e-6 {
				return m
			}
			break
		}
	}
	return nil
}

// newMirror makes the sight of the eye's image behind a panel.
func (b *builder) newMirror(p *room.Panel) *mirror {
	image := *b.Sight
	m := &mirror{make([]bool, len(b.transport.Panels)), &image}
	c := &image.camera
	c.at = mirrorPoint(p, c.at)
	c.forward, c.right, c.up = turned(p, c.forward), turned(p, c.right), turned(p, c.up)
	image.own, image.in, image.mirrors, image.known = -1, m, nil, newOutlines()
	b.mirrors = append(b.mirrors, m)
	return m
}

// mirrorPoint is the image of a point behind a panel.
func mirrorPoint(p *room.Panel, at room.Point) room.Point {
	off := 0.
	for i := range at {
		off += float64((at[i] - p.Corner[i]) * p.Normal[i])
	}
	for i := range at {
		at[i] -= lengthOf(2*off) * p.Normal[i]
	}
	return at
}

// turned is the image of a direction.
func turned(p *room.Panel, d [3]float64) [3]float64 {
	along := 0.
	for i := range d {
		along += d[i] * float64(p.Normal[i])
	}
	for i := range d {
		d[i] -= 2 * along * float64(p.Normal[i])
	}
	return d
}

// limits are between which distances something is seen in a pixel: before what the room shows there, or in a mirror behind
// the mirror and before what that shows.
func (s *Sight) limits(pixel int) (near, far float32) {
	switch p := s.panels[pixel]; {
	case s.in == nil:
		return 0, s.far[pixel]
	case p < 0 || !s.in.panels[p]:
		return 0, -1
	}
	return s.far[pixel], s.beyond[pixel]
}

// lookIn finds for every pixel of a glossy thing what it mirrors.
func (b *builder) lookIn() {
	if b.findMirrors(); len(b.mirrors) == 0 {
		return
	}
	b.beyond, b.within = make([]float32, len(b.panels)), make([]int16, len(b.panels))
	for _, m := range b.mirrors {
		m.beyond = b.beyond
	}
	for i, p := range b.panels {
		b.within[i] = -1
		if p < 0 || !b.transport.Mirrors(int(p)) {
			continue
		}
		d := b.direction(float64(i%b.Width)+.5, float64(i/b.Width)+.5)
		b.beyond[i] = float32(math.Inf(1))
		if l, ok := b.onPlane(int(p), d); ok {
			m := b.transport.Mirrored(l, d)
			if next, ok := b.transport.TraceAmong(m.Point, m.Direction, b.still); ok {
				b.within[i], b.beyond[i] = int16(next.Panel), b.far[i]+float32(next.Distance)
			}
		}
	}
	b.findLenses()
}

// glint marks a pixel in whose mirror there is a lens: no panel has this number.
const glint = -2

// findLenses marks the pixels that a lens in a mirror may reach into.
func (b *builder) findLenses() {
	for _, m := range b.mirrors {
		for _, lens := range b.transport.Shining() {
			x0, y0, x1, y1 := m.box(lens[:])
			for y := y0; y < y1; y++ {
				for x := x0; x < x1; x++ {
					if i := y*b.Width + x; b.panels[i] >= 0 && m.panels[b.panels[i]] && len(b.lensesAt(float64(x)+.5, float64(y)+.5, int(b.panels[i]))) > 0 {
						b.within[i] = glint
					}
				}
			}
		}
	}
}

// lensesAt are the lenses that a panel mirrors at a place of the picture.
func (b *builder) lensesAt(x, y float64, panel int) []room.Ray {
	if out, _, _ := b.mirroredAt(panel, b.direction(x, y)); out != nil {
		return out.lenses
	}
	return nil
}

// mirroredAt is what a panel mirrors along a ray, without the light on that; nil where it mirrors nothing.
func (b *builder) mirroredAt(panel int, d room.Point) (out *mirrored, next room.Look, ok bool) {
	l, ok := b.onPlane(panel, d)
	if !ok {
		return nil, next, false
	}
	m := b.transport.Mirrored(l, d)
	if m.Share == 0 {
		return nil, next, false
	}
	out = &mirrored{share: float32(m.Share), behind: point{panel: -1, mirror: -1}}
	far := math.Inf(1)
	if next, ok = b.transport.TraceAmong(m.Point, m.Direction, b.still); ok {
		far = next.Distance
	}
	out.lenses = b.pointer.Lens(nil, m.Point, m.Direction, far)
	return out, next, ok
}

// addMirrored gives a point what its panel mirrors there.
func (b *builder) addMirrored(to *point, d room.Point, given []float32) {
	m, next, ok := b.mirroredAt(int(to.panel), d)
	if m == nil {
		return
	}
	if ok {
		m.behind = b.lit(next)
		for _, r := range b.rays[m.behind.from:m.behind.to] {
			if u := b.unitOf[r.Column]; u >= 0 {
				given[u] += m.share * r.PerWatt
			}
		}
	}
	to.mirror = int32(len(b.mirrored))
	b.mirrored = append(b.mirrored, *m)
}

// fineShare is from which share on the edges of what is mirrored are drawn as finely as those of things.
const fineShare = .2

// mirrorsFine tells whether four points of a pixel are to be looked at each by itself: where the edge of a lens runs through
// its mirror, or that of anything through one that mirrors much.
func (b *builder) mirrorsFine(x, y int) bool {
	i := y*b.Width + x
	if b.within == nil || b.panels[i] < 0 || !b.transport.Mirrors(int(b.panels[i])) {
		return false
	}
	edge, lens := false, false
	for _, j := range [4]int{i - 1, i + 1, i - b.Width, i + b.Width} {
		if j >= 0 && j < len(b.within) && b.within[j] != b.within[i] {
			edge = true
			lens = lens || b.within[j] == glint || b.within[i] == glint
		}
	}
	return lens || edge && b.share(x, y) > fineShare
}

// share is that of a pixel's mirror.
func (b *builder) share(x, y int) float64 {
	d := b.direction(float64(x)+.5, float64(y)+.5)
	l, ok := b.onPlane(int(b.panels[y*b.Width+x]), d)
	if !ok {
		return 0
	}
	return b.transport.Mirrored(l, d).Share
}

// through is what a point shows in its mirror, by no share yet; ok is false where it mirrors nothing, as when it is
// not asked what things look like.
func (s *Sight) through(p *point, a room.Aspect, shining *room.Shining) (v room.Shine, share float32, ok bool) {
	if p.mirror < 0 || a != room.All {
		return v, 0, false
	}
	m := &s.mirrored[p.mirror]
	if q := &m.behind; q.panel >= 0 {
		v = shining.At(int(q.panel), s.rays[q.from:q.to], &q.places, &q.weights)
	}
	lenses := shining.Lens(m.lenses)
	return v.Plus(&lenses, 1), m.share, true
}
