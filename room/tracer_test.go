package room_test

import (
	"math"
	"math/rand/v2"

	"lampblack/light"
	"lampblack/rig"
	"lampblack/room"
	"lampblack/si"
)

// The tracer is a second opinion on the room's light: a path tracer, small, plain and slow,
// written from the rendering equation for matt surfaces that may fluoresce,
//
//	E(x,λ) = D(x,λ) + ∫ [ρ(y,λ) E(y,λ) + ∫ φ(y,λ',λ) E(y,λ') dλ'] cosθ/π dω,
//
// where y is what x sees toward ω and D the light straight from the lenses. It follows paths
// backward from the place with directions by their cosine or by where it is bright (guide), asks every unit at every
// bounce through a random point of its lens, and ends paths by chance alone, so that its mean is right
// however few the paths and its standard error says how far off it may be. It has vectors,
// rectangles and sampling of its own; room and rig are read as data, and beams, spectra and
// paints are those of package light.
type tracer struct {
	quads   []quad
	coats   []coat
	lenses  []lens
	horizon int // most bounces; only a guard, since chance ends paths before
	guide   *guide
}

// tv is a point or a direction, metres.
type tv [3]float64

func (a tv) add(b tv, f float64) tv { return tv{a[0] + f*b[0], a[1] + f*b[1], a[2] + f*b[2]} }
func inner(a, b tv) float64         { return a[0]*b[0] + a[1]*b[1] + a[2]*b[2] }
func outer(a, b tv) tv {
	return tv{a[1]*b[2] - a[2]*b[1], a[2]*b[0] - a[0]*b[2], a[0]*b[1] - a[1]*b[0]}
}
func (a tv) scaled(f float64) tv { return tv{a[0] * f, a[1] * f, a[2] * f} }
func (a tv) norm() tv            { return a.scaled(1 / math.Sqrt(inner(a, a))) }
func tvOf(p room.Point) tv       { return tv{float64(p[0]), float64(p[1]), float64(p[2])} }

// bins is the tracer's grid of wavelengths, 5 nm each from 300 nm.
const (
	binWidth = 5
	bins     = light.N / binWidth
)

type spectrum [bins]float64

// binned is the mean of a spectrum over each bin.
func binned(s *light.Spectrum) (out spectrum) {
	for i := range bins * binWidth {
		out[i/binWidth] += s[i] / binWidth
	}
	return out
}

// luminous is lm/W by bin.
func luminous() (out spectrum) {
	for b := range out {
		var s light.Spectrum
		for i := range binWidth {
			s[b*binWidth+i] = 1. / binWidth
		}
		out[b] = float64(s.LuminousFlux())
	}
	return out
}

// coat is what a side of a rectangle does with light.
type coat struct {
	reflects spectrum
	glows    *[bins]spectrum // W that come back in each bin by fluorescence, of one in a bin; nil for none
}

// quad is a rectangle: a corner and two edges at right angles.
type quad struct {
	corner, u, v, n tv
	uu, vv          float64 // squares of the edges' lengths
	coat, behind    int     // of the side that n leaves, and of the other
	thin            bool    // both sides are in the room
}

func newQuad(corner, u, v tv, coat, behind int) quad {
	return quad{corner: corner, u: u, v: v, n: outer(u, v).norm(), uu: inner(u, u), vv: inner(v, v), coat: coat, behind: behind}
}

// hit returns how far along d from p the rectangle is met.
func (q *quad) hit(p, d tv) (far float64, ok bool) {
	slope := inner(d, q.n)
	if slope == 0 {
		return 0, false
	}
	r := q.corner.add(p, -1)
	far = inner(r, q.n) / slope
	if far <= 0 {
		return 0, false
	}
	at := r.scaled(-1).add(d, far)
	a, b := inner(at, q.u), inner(at, q.v)
	return far, a >= 0 && a <= q.uu && b >= 0 && b <= q.vv
}

// first returns the nearest rectangle along a unit direction. Of two in one place the later
// lies on the earlier.
func (t *tracer) first(p, d tv) (far float64, which int) {
	far, which = math.Inf(1), -1
	for i := range t.quads {
		if f, ok := t.quads[i].hit(p, d); ok && f < far+1e-7 {
			far, which = f, i
		}
	}
	return far, which
}

// free tells whether nothing is met between two points.
func (t *tracer) free(p, q tv) bool {
	d := q.add(p, -1)
	for i := range t.quads {
		if f, ok := t.quads[i].hit(p, d); ok && f < 1 {
			return false
		}
	}
	return true
}

// lens is a unit: its openings, each a rectangle, and what leaves it.
type lens struct {
	cells       []tv
	axis, a, b  tv // a and b are an opening's edges
	rises       float64
	shines      [][]shine // by cell
	intensities []*light.Distribution
}

// shine is what a cell sends out with one kind of beam.
type shine struct {
	beam  int
	watts spectrum // by bin
}

// newTracer reads a room and its rig, with all drives at these levels.
func newTracer(r *room.Room, rg *rig.Rig, levels []float32) *tracer {
	t := &tracer{horizon: 4000}
	t.faces(r)
	for i := range r.Boxes {
		b := &r.Boxes[i].Value
		t.brick(tvOf(b.Centre).add(tvOf(b.Size), -.5), tvOf(b.Size), t.material(r, b.Material.Name, room.DefaultWall), 1)
	}
	for i := range r.Surfaces {
		s := &r.Surfaces[i].Value
		c := t.material(r, s.Material.Name, room.DefaultDrape)
		t.sheet(tvOf(s.Centre), tvOf(s.Faces), float64(s.Width), float64(s.Height), c, c)
	}
	for i := range r.Objects {
		o := &r.Objects[i].Value
		t.sheet(tvOf(o.Centre), tvOf(o.Faces), float64(o.Width), float64(o.Height), t.material(r, o.Paint.Name, ""), t.material(r, "black cloth", ""))
	}
	for u := range rg.Units {
		t.lenses = append(t.lenses, lensOf(rg, u, levels))
	}
	t.guide = newGuide(t)
	return t
}

// faces adds the inside of the room.
func (t *tracer) faces(r *room.Room) {
	low := tv{-float64(r.Size[0]) / 2, -float64(r.Front), 0}
	walls := t.material(r, r.Walls.Name, room.DefaultWall)
	size := tv{float64(r.Size[0]), float64(r.Size[1]), float64(r.Size[2])}
	t.brick(low, size, walls, -1)
	t.quads[4].coat = t.material(r, r.Floor.Name, room.DefaultWall)
	t.quads[5].coat = t.material(r, r.Ceiling.Name, room.DefaultWall)
	t.quads[4].behind, t.quads[5].behind = t.quads[4].coat, t.quads[5].coat
}

// brick adds the faces across x, y and z, low then high, outward or inward.
func (t *tracer) brick(low, size tv, coat int, outward float64) {
	for axis := range 3 {
		var u, v, up tv
		u[(axis+1)%3], v[(axis+2)%3], up[axis] = size[(axis+1)%3], size[(axis+2)%3], size[axis]
		if outward > 0 {
			u, v = v, u
		}
		t.quads = append(t.quads, newQuad(low, u, v, coat, coat), newQuad(low.add(up, 1), v, u, coat, coat))
	}
}

// sheet adds a rectangle about a centre whose width is level.
func (t *tracer) sheet(centre, faces tv, w, h float64, front, back int) {
	n := faces.norm()
	across := tv{-n[1], n[0], 0}
	if inner(across, across) < 1e-12 {
		across = tv{1, 0, 0}
	}
	u := across.norm().scaled(w)
	v := outer(n, u).norm().scaled(h)
	q := newQuad(centre.add(u, -.5).add(v, -.5), u, v, front, back)
	q.thin = true
	t.quads = append(t.quads, q)
}

// material is the coat of a name.
func (t *tracer) material(r *room.Room, name, standard string) int {
	if name == "" {
		name = standard
	}
	var c coat
	rho, _ := r.Reflectance(name)
	c.reflects = binned(&rho)
	if p, err := light.PaintNamed(name); err == nil && r.Materials.Get(name) == nil && p.Fluoresces() {
		c.glows = glowsOf(&p)
	}
	t.coats = append(t.coats, c)
	return len(t.coats) - 1
}

// glowsOf is what comes back by fluorescence of one watt in each bin.
func glowsOf(p *light.Paint) *[bins]spectrum {
	var out [bins]spectrum
	for in := range out {
		var s light.Spectrum
		for i := range binWidth {
			s[in*binWidth+i] = 1. / binWidth
		}
		back := p.Glow(&s)
		out[in] = binned(&back)
		for b := range out[in] {
			out[in][b] *= binWidth
		}
	}
	return &out
}

// lensOf reads a unit. Its row of cells lies at right angles to the beam, level unless turned.
func lensOf(rg *rig.Rig, unit int, levels []float32) (l lens) {
	u := &rg.Units[unit]
	at := tvOf(room.Point(u.At))
	l.axis = tvOf(room.Point(u.Aim)).add(at, -1).norm()
	level := tv{-l.axis[1], l.axis[0], 0}
	if inner(level, level) < 1e-12 {
		level = tv{1, 0, 0}
	}
	level = level.norm()
	row := level.scaled(math.Cos(float64(u.Turn))).add(outer(l.axis, level), math.Sin(float64(u.Turn)))
	n := u.Type.CellCount()
	l.a = row.scaled(float64(u.Type.Size[0]) / float64(n))
	l.b = outer(l.axis, row).scaled(float64(u.Type.Size[1]))
	l.rises = 2
	if u.Mask != 0 {
		l.rises = math.Sin(float64(u.Mask))
	}
	l.shines = make([][]shine, n)
	for c := range n {
		l.cells = append(l.cells, at.add(l.a, float64(c)-float64(n-1)/2))
	}
	from, to := rg.UnitDrives(unit)
	for d := from; d < to; d++ {
		e := rg.Emitter(d)
		beam := u.Type.Beam
		if e.Beam != nil {
			beam = *e.Beam
		}
		dist, err := beam.Distribution()
		if err != nil {
			panic(err)
		}
		l.intensities = append(l.intensities, dist)
		s := e.Light.Spectrum
		s.Normalise()
		watts := binned(&s)
		for b := range watts {
			watts[b] *= binWidth * e.Light.Watts / float64(n) * float64(levels[d])
		}
		for _, c := range rg.Drives[d].Cells {
			l.shines[c] = append(l.shines[c], shine{len(l.intensities) - 1, watts})
		}
	}
	l.merge(rg, unit)
	return l
}

// merge adds up the emitters of a cell where the whole unit has one beam.
func (l *lens) merge(rg *rig.Rig, unit int) {
	for i := range rg.Units[unit].Type.Emitters {
		if rg.Units[unit].Type.Emitters[i].Value.Beam != nil {
			return
		}
	}
	for c, all := range l.shines {
		for _, s := range all[min(1, len(all)):] {
			for b, w := range s.watts {
				all[0].watts[b] += w
			}
		}
		l.shines[c] = all[:min(1, len(all))]
	}
}

// direct adds to the sums what the units send to p facing n, each through one random point of one
// of its openings, by weights over wavelength.
func (t *tracer) direct(rng *rand.Rand, p, n tv, weights []spectrum, sums []float64) {
	for i := range t.lenses {
		l := &t.lenses[i]
		c := rng.IntN(len(l.cells))
		q := l.cells[c].add(l.a, rng.Float64()-.5).add(l.b, rng.Float64()-.5)
		d := p.add(q, -1)
		square := inner(d, d)
		far := math.Sqrt(square)
		facing, off := -inner(d, n)/far, inner(d, l.axis)/far
		if facing <= 0 || off <= 0 || d[2]/far > l.rises || !t.free(p, q) {
			continue
		}
		for _, s := range l.shines[c] {
			at := l.intensities[s.beam].Intensity(si.Angle(math.Acos(min(1, off)))) * facing / square * float64(len(l.cells))
			for k := range weights {
				sum := 0.0
				for b, w := range &s.watts {
					sum += w * weights[k][b]
				}
				sums[k] += sum * at
			}
		}
	}
}

// toward draws a direction about n, by its cosine.
func toward(rng *rand.Rand, n tv) tv {
	a := tv{1, 0, 0}
	if math.Abs(n[0]) > .5 {
		a = tv{0, 1, 0}
	}
	u := outer(n, a).norm()
	v := outer(n, u)
	r, phi := math.Sqrt(rng.Float64()), 2*math.Pi*rng.Float64()
	return u.scaled(r*math.Cos(phi)).add(v, r*math.Sin(phi)).add(n, math.Sqrt(1-r*r)).norm()
}

// path adds to the sums one sample of the light at p facing n, by weights, which it spoils.
func (t *tracer) path(rng *rand.Rand, p, n tv, weights []spectrum, sums []float64) {
	t.direct(rng, p.add(n, clearance), n, weights, sums)
	kept := 1.
	for bounce := range t.horizon {
		i, d, far, weight := t.next(rng, p.add(n, clearance), n)
		if i < 0 {
			return // hidden; or out of a crack: a path's own error, of the size of clearance
		}
		q := &t.quads[i]
		p = p.add(n, clearance).add(d, far)
		c := &t.coats[q.coat]
		if n = q.n; inner(d, n) > 0 {
			n, c = n.scaled(-1), &t.coats[q.behind]
		}
		kept *= weight * c.pass(weights)
		if kept == 0 {
			return
		}
		scale(weights, weight)
		t.direct(rng, p.add(n, clearance), n, weights, sums)
		// What little is left of a path need not be followed always, but then counts for more.
		if goes := min(.95, math.Sqrt(kept)); bounce > 0 {
			if !(rng.Float64() < goes) {
				return
			}
			scale(weights, 1/goes)
			kept /= goes
		}
	}
}

func scale(weights []spectrum, by float64) {
	for k := range weights {
		for b := range weights[k] {
			weights[k][b] *= by
		}
	}
}

// clearance is how far before a surface a path goes on.
const clearance = 1e-6

// pass turns weights of the light that leaves a surface into those of the light that arrives,
// and returns about how much of them is left.
func (c *coat) pass(weights []spectrum) float64 {
	before, after := 0.0, 0.0
	for k := range weights {
		w := &weights[k]
		leaves := *w
		for b := range w {
			before += leaves[b]
			w[b] = leaves[b] * c.reflects[b]
			if c.glows != nil {
				for o, v := range &c.glows[b] {
					w[b] += v * leaves[o]
				}
			}
			after += w[b]
		}
	}
	if before == 0 {
		return 0
	}
	return min(1, after/before)
}

// spotOf is where light is asked for: a point that faces a way, or a rectangle of which bare
// points are drawn.
type spotOf struct {
	corner, u, v, n tv
}

// draw is a bare point of the spot: nothing lies within 2 cm before it, and no box holds it.
func (t *tracer) draw(rng *rand.Rand, s *spotOf) (p tv, ok bool) {
	for range 1000 {
		p = s.corner.add(s.u, rng.Float64()).add(s.v, rng.Float64())
		if inner(s.u, s.u) == 0 || t.bare(p, s.n) {
			return p, true
		}
	}
	return p, false
}

// bare looks back at p from 2 cm before it; and from p to see whether it is inside something,
// whose face it then meets from behind.
func (t *tracer) bare(p, n tv) bool {
	before := p.add(n, .02+clearance)
	if !t.free(before, p.add(n, 1e-5)) {
		return false
	}
	tilted := n.add(tv{.0123, .0231, .0312}, 1).norm()
	_, i := t.first(p.add(n, 1e-5), tilted)
	return i >= 0 && (inner(t.quads[i].n, tilted) < 0 || t.quads[i].thin)
}

// mean returns the light at a spot by each of some weights, and its standard error, from as
// many paths as it takes to come within a share of it, or the most.
func (t *tracer) mean(rng *rand.Rand, s *spotOf, weights []spectrum, within float64, most int) (mean, err []float64) {
	n := len(weights)
	sum, squares := make([]float64, n), make([]float64, n)
	one, w := make([]float64, n), make([]spectrum, n)
	paths := 0
	for paths < most {
		for range 500 {
			p, ok := t.draw(rng, s)
			if !ok {
				return nil, nil
			}
			copy(w, weights)
			clear(one)
			t.path(rng, p, s.n, w, one)
			for k, v := range one {
				sum[k] += v
				squares[k] += v * v
			}
		}
		paths += 500
		enough := true
		mean, err = make([]float64, n), make([]float64, n)
		for k := range sum {
			mean[k] = sum[k] / float64(paths)
			err[k] = math.Sqrt(max(0, squares[k]/float64(paths)-mean[k]*mean[k]) / float64(paths))
			enough = enough && err[k] <= within*mean[k]
		}
		if enough && paths >= 2000 {
			break
		}
	}
	return mean, err
}
