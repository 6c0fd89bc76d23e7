package room

import (
	"context"
	"math"
)

// Probe asks for readings at points of the room that are no places: a plan at
// eye height, a line across the stage.
type Probe struct {
	Sense  Sense
	Levels []float32
	// Normal is the direction that the meter faces. Without one it takes all
	// direct light as if it faced every lamp, and the most reflected light of
	// the six directions along the room's axes: an upper bound, as eyes turn.
	Normal *Point
	// Upper takes every emitter at the upper end of its interval.
	Upper bool
}

// Probe returns the readings, in the unit of the sense.
func (t *Transport) Probe(ctx context.Context, p Probe, points []Point) []float64 {
	columns := t.columnWeights(p)
	sent := t.sent(p)
	out := make([]float64, len(points))
	spread(ctx, len(points), func(i int) { out[i] = t.probe(p, columns, sent, points[i].vec()) })
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

func (t *Transport) upper(p Probe, drive int) float64 {
	if p.Upper {
		return t.Spread[drive].High
	}
	return 1
}

// sent is the exitance of every patch by reflection and glow, as the sense
// weighs it, over π.
func (t *Transport) sent(p Probe) []float64 {
	out := make([]float64, t.shell.patches)
	for i := range out {
		f := t.Panels[t.Places[i].Panel].finish
		for d, v := range t.Total[i] {
			if p.Levels[d] == 0 {
				continue
			}
			k := t.Light[d]
			e := float64(v) * float64(p.Levels[d]) * t.upper(p, d) / math.Pi
			out[i] += e * (t.means[f][k]*t.Lights[k].Weight[p.Sense] + t.glow.yield[f][k]*t.glow.weight[f][p.Sense])
		}
	}
	return out
}

// probe reads one point: direct light cell by cell, then what the patches send.
func (t *Transport) probe(p Probe, columns, sent []float64, at vec) float64 {
	total := 0.0
	for i := range t.sources.lamps {
		l := &t.sources.lamps[i]
		nb := len(l.beams)
		for c, from := range l.cells {
			first := t.sources.first[i] + c*nb
			total += t.cellAt(l, columns[first:first+nb], from, at, p.Normal)
		}
	}
	if p.Normal != nil {
		return total + t.patchesAt(sent, at, p.Normal.vec().unit())
	}
	most := 0.0
	for axis := range 3 {
		for _, sign := range []float64{-1, 1} {
			var n vec
			n[axis] = sign
			most = max(most, t.patchesAt(sent, at, n))
		}
	}
	return total + most
}

// cellAt is the direct reading from one cell.
func (t *Transport) cellAt(l *lamp, weights []float64, from, at vec, normal *Point) float64 {
	if sum(weights) == 0 {
		return 0
	}
	n := from.minus(at).unit()
	if normal != nil {
		n = normal.vec().unit()
	}
	wide := make([]float64, len(weights))
	rec := receiver{at: at, n: n, panel: -1}
	l.light(wide, from, &rec, t.shell)
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

// patchesAt adds up radiance times projected solid angle over the patches in
// view, each as a point at its middle, no nearer than its own size.
func (t *Transport) patchesAt(sent []float64, at, n vec) float64 {
	total := 0.0
	for i, l := range sent {
		if l == 0 {
			continue
		}
		rec := &t.receivers[i]
		d := rec.at.minus(at)
		incidence, leaving := d.dot(n), -d.dot(rec.n)
		if incidence <= 0 || leaving <= 0 {
			continue
		}
		area := t.Places[i].Area
		square := d.dot(d)
		e := l * area * incidence * leaving / (square * math.Max(square, area))
		if e > 0 && t.shell.block.clear(at, rec.at) {
			total += e
		}
	}
	return total
}
