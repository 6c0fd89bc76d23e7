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
	// Upper takes every emitter at the upper end of its interval.
	Upper bool
}

// Probe returns the readings, in the unit of the sense.
func (t *Transport) Probe(ctx context.Context, p Probe, points []Point) []float64 {
	columns := t.columnWeights(p)
	senders := t.senders(p)
	out := make([]float64, len(points))
	spread(ctx, len(points), func(i int) { out[i] = t.probe(p, columns, senders, points[i].vec()) })
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
	at, n    vec
	area     float64
	radiance float64 // as the sense weighs it: exitance over π
}

// senders lists the elements that send anything, each as the mean over its patches. They are
// found once and serve all points.
func (t *Transport) senders(p Probe) []sender {
	var out []sender
	for i := range t.elements {
		e := &t.elements[i]
		if e.area == 0 {
			continue
		}
		sum := 0.0
		panel := &t.Panels[e.panel]
		k := i - panel.elem
		panel.eachPatch(k%panel.elemCols, k/panel.elemCols, func(place int) {
			if area := t.Places[place].Area; area > 0 {
				sum += area * t.sent(p, place, panel.finish)
			}
		})
		if sum > 0 {
			out = append(out, sender{e.middle, e.n, e.area, sum / e.area / math.Pi})
		}
	}
	return out
}

// sent is the exitance of a patch by reflection and glow, as the sense weighs
// it: irradiance times reflectance times the sense's weight of that light, and irradiance
// times yield times its weight of the glow.
func (t *Transport) sent(p Probe, place, finish int) float64 {
	total := 0.0
	for d, v := range t.Total[place] {
		if p.Levels[d] == 0 {
			continue
		}
		k := t.Light[d]
		e := float64(v) * float64(p.Levels[d]) * t.upper(p, d)
		total += e * (t.means[finish][k]*t.Lights[k].Weight[p.Sense] + t.glow.yield[finish][k]*t.glow.weight[finish][p.Sense])
	}
	return total
}

// probe reads one point: direct light cell by cell, then what the patches send.
func (t *Transport) probe(p Probe, columns []float64, senders []sender, at vec) float64 {
	total := 0.0
	for i := range t.sources.lamps {
		l := &t.sources.lamps[i]
		nb := len(l.beams)
		for c := range l.cells {
			first := t.sources.first[i] + c*nb
			total += t.cellAt(l, columns[first:first+nb], c, at, p.Normal)
		}
	}
	if p.Normal != nil {
		return total + t.reflectedAt(senders, at, p.Normal.vec().unit())
	}
	return total + t.mostReflected(senders, at)
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

// arriving is the irradiance at a point, per cosine, from an element that is
// in view: a point at its middle, no nearer than its own size. Near a wall that keeps the
// sum from running away as 1/d².
func (t *Transport) arriving(e *sender, at vec) (toward vec, value float64) {
	d := e.at.minus(at)
	leaving := -d.dot(e.n)
	if leaving <= 0 {
		return d, 0
	}
	square := d.dot(d)
	far := math.Sqrt(square)
	value = e.radiance * e.area * leaving / (far * math.Max(square, e.area))
	if !t.shell.block.clear(at, e.at) {
		return d, 0
	}
	return d.times(1 / far), value
}

// reflectedAt adds up what the elements send to a plane that faces n.
func (t *Transport) reflectedAt(senders []sender, at, n vec) float64 {
	total := 0.0
	for i := range senders {
		if senders[i].at.minus(at).dot(n) <= 0 {
			continue
		}
		toward, value := t.arriving(&senders[i], at)
		total += value * toward.dot(n)
	}
	return total
}

// mostReflected is the greatest of reflectedAt along the room's axes. Each sender is
// looked at once and its share given to the three sides that it lies towards.
func (t *Transport) mostReflected(senders []sender, at vec) float64 {
	var sides [6]float64
	for i := range senders {
		toward, value := t.arriving(&senders[i], at)
		if value == 0 {
			continue
		}
		for axis, c := range toward {
			if c > 0 {
				sides[2*axis] += value * c
			} else {
				sides[2*axis+1] -= value * c
			}
		}
	}
	return slices.Max(sides[:])
}
