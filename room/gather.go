package room

import (
	"context"
	"math"
	"slices"
)

// gathered says from where light comes to each patch.
type gathered struct {
	elements int
	// share is the view factor from the middle of a patch to an element, with what
	// hides it taken away: a row for each patch, of sum 1.
	share []float32
	// near puts right, by patch, what counts an element as evenly bright that is near and
	// has spots of direct light.
	near [][]spot

	// What it was found by: the receivers, and what made some of them look more closely.
	of     []receiver
	dark   []bool // by patch
	bright []bool // by element
}

// holds tells whether what a patch sees was found already, and would be found the same.
func (g *gathered) holds(patch int, dark bool, bright []bool) bool {
	return g != nil && g.dark[patch] == dark && (!dark || slices.Equal(g.bright, bright))
}

// again is what was gathered in a room of the same things, where its patches are those of this one; else nil.
func (g *gathered) again(s *solving) *gathered {
	if g == nil || g.elements != len(s.elements) || len(g.dark) != s.shell.patches {
		return nil
	}
	for i := range g.dark {
		a, b := &g.of[i], &s.receivers[i]
		if a.at != b.at || a.n != b.n || a.bare != b.bare || a.size != b.size || a.area != b.area || !slices.Equal(a.edge, b.edge) {
			return nil
		}
	}
	return g
}

// spot is how much more a patch sees of another than by its share of the element.
type spot struct {
	place int32
	more  float32
}

// row is the part of share that belongs to a patch.
func (g *gathered) row(place int) []float32 {
	return g.share[place*g.elements : (place+1)*g.elements]
}

// gather computes what every patch sees. What is hidden is cut away exactly, so that
// the finest slit lets through what it does; each patch looks for itself, so that nothing is
// blended across a thing that divides.
func (s *solving) gather(ctx context.Context) *gathered {
	n := len(s.elements)
	g := &gathered{elements: n, share: make([]float32, s.shell.patches*n), near: make([][]spot, s.shell.patches), of: s.receivers, dark: make([]bool, s.shell.patches)}
	lit := s.lit()
	bright := s.bright(lit)
	g.bright = bright
	was := s.before.again(s)
	spreadWith(ctx, s.shell.patches, func() func(i int) {
		l := looker{solving: s, bright: bright}
		return func(i int) {
			if s.t.Places[i].Area > 0 {
				l.rec, l.row, l.ready, l.spots = &s.receivers[i], g.row(i), false, nil
				l.dark = !l.rec.partly && lit[i] <= dim && s.shell.close(l.rec)
				if g.dark[i] = l.dark; was.holds(i, l.dark, bright) {
					copy(l.row, was.row(i))
					g.near[i] = was.near[i]
					return
				}
				g.near[i] = l.look()
			}
		}
	})
	return g
}

// looker is a patch that looks around.
type looker struct {
	*solving
	rec    *receiver
	row    []float32
	middle watcher
	four   [4]watcher // about the middle, for what is near
	ready  bool       // four is
	dark   bool       // next to no lamp lights the patch and something stands close: what finds its way to an edge of it counts
	bright []bool     // by element
	spots  []spot
}

// look fills the patch's row, and returns its spots.
func (l *looker) look() []spot {
	rec := l.rec
	l.middle.from(rec.bare, l.shell.panes)
	reach := nearness
	if rec.panel >= 0 && l.shell.panels[rec.panel].gap > 0 {
		reach = slotNearness
	}
	sum := 0.0
	for j := range l.elements {
		e := &l.elements[j]
		if e.area == 0 || e.panel == rec.panel || rec.bare.minus(e.corner).dot(e.n) <= 1e-9 || !before(rec.bare, rec.n, e) {
			continue
		}
		f := 0.0
		if far := e.middle.minus(rec.bare).length(); far < reach*e.radius+rec.size || straddles(rec.bare, rec.n, e) {
			f = l.near(j)
		} else {
			f = l.far(j, far)
		}
		l.row[j] = float32(f)
		sum += f
	}
	if sum == 0 {
		return nil
	}
	// The room is closed: what is missing of 1, or too much, is rounding.
	scale := float32(1 / sum)
	for j := range l.row {
		l.row[j] *= scale
	}
	kept := l.spots[:0]
	for _, one := range l.spots {
		if one.more *= scale; max(one.more, -one.more) > leastMore {
			kept = append(kept, one)
		}
	}
	return slices.Clip(kept)
}

// leastMore is how much of what a patch sees a spot may be at the most to be left to its element.
const leastMore = 1e-4

// far is the factor to an element whose middle is so far away: as the middle of the patch sees
// it, or where that is dark and the element bright the mean of four points.
func (l *looker) far(j int, far float64) float64 {
	e := &l.elements[j]
	if !l.dark || !l.bright[j] {
		return l.middle.distant(l.rec.n, e, far)
	}
	if !l.ready {
		l.surround()
	}
	f := 0.0
	for k := range l.four {
		f += l.four[k].distant(l.rec.n, e, far) / float64(len(l.four))
	}
	return f
}

// beside is how close a thing stands that leaves some of a patch in the dark, m.
const beside = 1.

// close tells whether a thing stands so close to a patch that is no part of it.
func (s *shell) close(rec *receiver) bool {
	thing := s.panels[rec.panel].thing
	for i := range s.panes {
		if q := &s.panes[i]; q.thing != thing && q.distance(rec.bare) < beside {
			return true
		}
	}
	return false
}

// straddles tells whether an element lies on both sides of a plane at p: of the floor under a drape one side
// may be bright and the other dark, and only one is before the drape.
func straddles(p, n vec, e *element) bool {
	if e.middle.minus(p).dot(n) > e.radius {
		return false
	}
	for _, c := range e.outline {
		if c.minus(p).dot(n) < -1e-3 {
			return true
		}
	}
	return false
}

// dim is below what share of the mean of the room the light of lamps on a patch counts for next to nothing.
const dim = .05

// lit is the light of all lamps on every patch, each at a watt, as a share of the mean over the room.
func (s *solving) lit() []float64 {
	out := make([]float64, s.shell.patches)
	total, area := 0.0, 0.0
	for p := range min(len(out), len(s.t.direct)) { // there may be no lamps yet
		for _, v := range s.t.direct[p] {
			out[p] += float64(v)
		}
		total, area = total+s.t.Places[p].Area*out[p], area+s.t.Places[p].Area
	}
	for p := range out {
		if total > 0 {
			out[p] *= area / total
		}
	}
	return out
}

// bright tells of every element whether some of it sends much: it glows, or a patch of it has as much light of lamps as
// the mean of the room.
func (s *solving) bright(lit []float64) []bool {
	out := make([]bool, len(s.elements))
	for i := range s.elements {
		p := &s.shell.panels[s.elements[i].panel]
		out[i] = !p.Back && s.t.glow.glows(p.finish)
		s.eachPlace(i, func(place int) { out[i] = out[i] || lit[place] > 1 })
	}
	return out
}

// nearness is up to how many of its radii an element is near. In slots it is more: they are lit from
// their edges, where light falls off steeply, and by things that lie partly in a shadow.
const (
	nearness     = 1.2
	slotNearness = 4.
)

// near is the factor from the patch to a near element: the mean of four points of
// the patch, to each patch of the element.
func (l *looker) near(element int) float64 {
	if !l.ready {
		l.surround()
	}
	first, total := len(l.spots), 0.0
	l.eachPlace(element, func(place int) {
		to := &l.receivers[place]
		if l.t.Places[place].Area == 0 {
			return
		}
		b := ballOf(to.edge)
		f := 0.0
		for k := range l.four {
			w := &l.four[k]
			if w.at.minus(to.at).dot(to.n) <= 1e-9 {
				continue
			}
			c := b.cone(w.at)
			f += w.factor(l.rec.n, to.edge, &c) / float64(len(l.four))
		}
		l.spots = append(l.spots, spot{int32(place), float32(f)})
		total += f
	})
	area := l.elements[element].area
	for i := range l.spots[first:] {
		s := &l.spots[first+i]
		s.more -= float32(total * l.t.Places[s.place].Area / area)
	}
	return total
}

// surround readies four points of the patch, or where some of it is covered the one that is bare.
func (l *looker) surround() {
	l.ready = true
	for k := range l.four {
		p := l.rec.patch.at(gauss[2].at[k&1], gauss[2].at[k>>1])
		if l.rec.partly {
			p = l.rec.bare
		}
		l.four[k].from(p, l.shell.panes)
	}
}

// small is from how many radii away a whole element counts as a point: for a square that is
// 1 % off at the most (the five-times rule, see nearest), and rows are scaled to 1.
const small = 8

// distant is factor for an element whose middle is so far away.
func (w *watcher) distant(n vec, e *element, far float64) float64 {
	c := e.cone(w.at)
	pieces, whole := w.visible(e.outline, &c)
	if !whole {
		return w.piecesFactor(n, pieces)
	}
	d := e.middle.minus(w.at)
	facing := d.dot(n)
	if far < small*e.radius || facing < e.radius {
		return pointFactor(w.at, n, e.outline)
	}
	return e.extent * facing * -d.dot(e.n) / (math.Pi * far * far * far * far)
}

// factor is the view factor from a small plane at the watcher that faces n to what it sees of
// an outline that the cone holds.
func (w *watcher) factor(n vec, outline []vec, c *cone) float64 {
	pieces, whole := w.visible(outline, c)
	if whole {
		return pointFactor(w.at, n, outline)
	}
	return w.piecesFactor(n, pieces)
}

func (w *watcher) piecesFactor(n vec, pieces [][]vec) float64 {
	f := 0.0
	for _, piece := range pieces {
		f += pointFactor(w.at, n, piece)
	}
	return f
}
