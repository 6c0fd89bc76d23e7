package room

import (
	"context"
	"math"
	"slices"
)

// Probe asks for readings at points of the room that are no places: a plan at
// eye height, a line across the stage.
type Probe struct {
	Sense  Sense
	Levels []float32
	// Normal is the direction that the meter faces. Without one it takes all
	// direct light as if it faced every lamp, and the most reflected light of
	// the six directions along the room's axes: as eyes turn, an upper bound of
	// the direct light (see Transport.Facing for the reflected).
	Normal *Point
	// Of asks for a part alone: the direct light, or all the rest, which goes evenly.
	Of Part
	// Upper takes every emitter at the upper end of its interval.
	Upper bool
}

// Part is a part of the light at a point.
type Part int

// The parts.
const (
	BothParts Part = iota
	DirectPart
	ReflectedPart // and the glow of other things
)

// Probe returns the readings, in the unit of the sense.
func (t *Transport) Probe(ctx context.Context, p Probe, points []Point) []float64 {
	columns := t.columnWeights(p)
	var senders []sender
	if p.Of != DirectPart {
		senders = t.senders(p)
	}
	out := make([]float64, len(points))
	spreadWith(ctx, len(points), func() func(i int) {
		var w watcher
		return func(i int) { out[i] = t.probe(&w, p, columns, senders, points[i].vec()) }
	})
	return out
}

// columnWeights is what a column of the sources counts, for one W/m2 of it per
// watt.
func (t *Transport) columnWeights(p Probe) []float64 {
	out := make([]float64, t.sources.count)
	for d := range t.rig.Drives {
		drive := &t.rig.Drives[d]
		l := &t.sources.lamps[drive.Unit]
		if len(l.cells) == 0 || p.Levels[d] == 0 {
			continue
		}
		w := float64(p.Levels[d]) * t.watts[d] / float64(len(l.cells)) * t.Lights[t.Light[d]].Weight[p.Sense] * t.upper(p, d)
		for _, c := range drive.Cells {
			out[t.sources.first[drive.Unit]+c*len(l.beams)+l.beamOf[drive.Emitter]] += w
		}
	}
	return out
}

// upper is the factor of a drive's output that the probe asks for.
func (t *Transport) upper(p Probe, drive int) float64 {
	if p.Upper {
		return t.Spread[drive].High
	}
	return 1
}

// sender is an element as a source of reflected light and glow.
type sender struct {
	element  *element
	radiance float64 // as the sense weighs it: exitance over π
}

// uneven is from how many times its mean on the brightest patch of an element is too bright to
// be lost in it: then the patches send for themselves.
const uneven = 1.5

// senders lists the elements that send anything, each as the mean over its patches, or where
// they are uneven these. They are found once and serve all points.
func (t *Transport) senders(p Probe) []sender {
	glows := t.exitances(p)
	var out []sender
	for i := range t.elements {
		e := &t.elements[i]
		if e.area == 0 {
			continue
		}
		first, sum, most := len(out), 0.0, 0.0
		panel := &t.Panels[e.panel]
		k := i - panel.elem
		panel.eachPatch(k%panel.elemCols, k/panel.elemCols, func(place int) {
			if area := t.Places[place].Area; area > 0 {
				v := t.sent(p, glows, place, panel.finish)
				sum, most = sum+area*v, max(most, v)
				out = append(out, sender{t.receivers[place].element(), v / math.Pi})
			}
		})
		if mean := sum / e.area; most <= uneven*mean || sum == 0 {
			out = out[:first]
			if sum > 0 {
				out = append(out, sender{e, mean / math.Pi})
			}
		}
	}
	return out
}

// element is a patch as an element of its own.
func (r *receiver) element() *element {
	e := &element{sheet: r.patch, ball: ballOf(r.edge), panel: r.panel, area: r.area, outline: r.edge}
	e.extent, _ = extent(e.outline)
	return e
}

// exitances is the glow that leaves each glowing element.
func (t *Transport) exitances(p Probe) []float64 {
	out := make([]float64, len(t.glow.elements))
	for e, row := range t.glow.power {
		for d, v := range row {
			out[e] += float64(v) * float64(p.Levels[d]) * t.upper(p, d)
		}
	}
	return out
}

// sent is the exitance of a patch by reflection and glow, as the sense weighs
// it: irradiance times what that takes of the light on the finish, irradiance
// times yield times its weight of the glow, and what it reflects of the others' glow.
func (t *Transport) sent(p Probe, glows []float64, place, finish int) float64 {
	total := 0.0
	own := sum(t.glow.shape[finish].weight[p.Sense])
	for d, k := range t.Light {
		if p.Levels[d] == 0 {
			continue
		}
		e := t.carried(d, t.total[place], t.reflects[finish][k].weight[p.Sense])
		if own > 0 {
			e += own * t.carried(d, t.total[place], t.glow.yield[finish][k])
		}
		total += e * float64(p.Levels[d]) * t.upper(p, d)
	}
	for c, f := range t.glow.to[place] {
		of := &t.glow.columns[c]
		total += float64(f) * glows[of.element] * t.glow.landed[finish][t.glow.elements[of.element].finish].weight[p.Sense][of.part]
	}
	return total
}

// probe reads one point: direct light cell by cell, then what the patches send.
func (t *Transport) probe(w *watcher, p Probe, columns []float64, senders []sender, at vec) float64 {
	total := 0.0
	for i := range t.sources.lamps {
		l := &t.sources.lamps[i]
		nb := len(l.beams)
		for c := range l.cells {
			if p.Of == ReflectedPart {
				break
			}
			first := t.sources.first[i] + c*nb
			total += t.cellAt(l, columns[first:first+nb], c, at, p.Normal)
		}
	}
	if p.Of != ReflectedPart {
		total += t.mirroredAt(p, columns, at)
	}
	if p.Of == DirectPart {
		return total
	}
	w.from(at, t.shell.panes)
	if p.Normal != nil {
		return total + reflectedAt(w, senders, p.Normal.vec().unit())
	}
	return total + mostOf(w, senders)
}

// mirroredAt is the reading of lamps in mirrors.
func (t *Transport) mirroredAt(p Probe, columns []float64, at vec) float64 {
	if len(t.shell.mirrors) == 0 {
		return 0
	}
	g := lighting{sources: t.sources, shell: t.shell}
	row := make([]float64, t.sources.count)
	var n *vec
	if p.Normal != nil {
		g.haze = t.room.Extinction()
		unit := p.Normal.vec().unit()
		n = &unit
	}
	g.reflections(row, at, n)
	e := 0.0
	for c, v := range row {
		e += v * columns[c]
	}
	return e
}

// cellAt is the direct reading from one cell.
func (t *Transport) cellAt(l *lamp, weights []float64, cell int, at vec, normal *Point) float64 {
	if sum(weights) == 0 {
		return 0
	}
	n := l.cells[cell].minus(at).unit()
	if normal != nil {
		n = normal.vec().unit()
	}
	wide := make([]float64, len(weights))
	rec := receiver{at: at, n: n, panel: -1}
	g := lighting{sources: t.sources, shell: t.shell}
	g.light(wide, l, cell, &rec)
	if normal != nil {
		g.haze = t.room.Extinction()
		g.dim(wide, l.cells[cell], at)
	}
	e := 0.0
	for b, v := range wide {
		e += v * weights[b]
	}
	return e
}

func sum(v []float64) float64 {
	total := 0.0
	for _, x := range v {
		total += x
	}
	return total
}

// reflectedAt adds up what the elements send to a plane at the watcher that faces n.
func reflectedAt(w *watcher, senders []sender, n vec) float64 {
	total := 0.0
	for i := range senders {
		e := senders[i].element
		if w.at.minus(e.corner).dot(e.n) <= 0 || !before(w.at, n, e) {
			continue
		}
		c := e.cone(w.at)
		total += math.Pi * senders[i].radiance * w.factor(n, e.outline, &c)
	}
	return total
}

// mostOf is the greatest of reflectedAt along the room's axes. Each sender is
// looked at once and its share given to the three sides that it lies towards.
func mostOf(w *watcher, senders []sender) float64 {
	var sides [6]float64
	for i := range senders {
		e := senders[i].element
		if w.at.minus(e.corner).dot(e.n) <= 0 {
			continue
		}
		c := e.cone(w.at)
		pieces, whole := w.visible(e.outline, &c)
		add := func(of vec) {
			for axis, v := range of {
				if v > 0 {
					sides[2*axis] += senders[i].radiance * v
				} else {
					sides[2*axis+1] -= senders[i].radiance * v
				}
			}
		}
		d := e.middle.minus(w.at)
		switch far := d.length(); {
		case whole && far > small*e.radius:
			add(d.times(e.extent * -d.dot(e.n) / (far * far * far * far)))
		case whole:
			add(facingVector(w.at, e.outline))
		default:
			for _, piece := range pieces {
				add(facingVector(w.at, piece))
			}
		}
	}
	return slices.Max(sides[:])
}

// facingVector is the irradiance by an outline of radiance 1 as a vector: a plane that faces n, with
// the outline wholly before it, gets its product with n (Lambert's formula, as in pointFactor).
func facingVector(p vec, outline []vec) (v vec) {
	for i, a := range outline {
		a, b := a.minus(p), outline[(i+1)%len(outline)].minus(p)
		c := a.cross(b)
		if l := c.length(); l > 1e-300 {
			v = v.plus(c.times(math.Atan2(l, a.dot(b)) / l / 2))
		}
	}
	if v.dot(outline[0].minus(p)) < 0 {
		return v.times(-1)
	}
	return v
}
