package room

import (
	"context"
	"math"
	"runtime"
	"sync"
	"sync/atomic"
)

// sources numbers what the rig sends out: for each lamp, cell and beam one
// column of irradiance per watt. Drives that share cells and beams, as the colours of
// one lamp do, share columns, which saves most of the rays.
//
//	column = first[lamp] + cell·beams + beam
type sources struct {
	lamps []lamp
	first []int // by lamp: its first column; cells outer, beams inner
	count int
}

// number gives each lamp its columns.
func number(lamps []lamp) *sources {
	s := &sources{lamps: lamps}
	for i := range lamps {
		s.first = append(s.first, s.count)
		s.count += len(lamps[i].cells) * len(lamps[i].beams)
	}
	return s
}

// gauss holds the points and weights of Gauss-Legendre quadrature on 0..1.
var gauss = [...]struct{ at, weight []float64 }{
	1: {[]float64{.5}, []float64{1}},
	2: {[]float64{.21132486540518712, .7886751345948129}, []float64{.5, .5}},
	3: {[]float64{.1127016653792583, .5, .8872983346207417}, []float64{5. / 18, 8. / 18, 5. / 18}},
	4: {[]float64{.06943184420297371, .33000947820757187, .6699905217924281, .9305681557970262},
		[]float64{.17392742256872692, .32607257743127307, .32607257743127307, .17392742256872692}},
}

// receiver is a place made ready to be lit: points with weights that sum to
// the uncovered share.
type receiver struct {
	at, n vec
	patch sheet
	edge  []vec   // corners of what the panel fills of the patch
	panel int     // -1 for a point
	size  float64 // the longer side
	reach float64 // half of the diagonal
	area  float64 // that is not under something
	// bare is a point of the patch that is under nothing, as near its middle as may be;
	// partly tells that some of it is under something.
	bare   vec
	partly bool
	cut    bool // edge is not the patch's own
}

// lighting is one worker that finds direct light.
type lighting struct {
	*sources
	shell   *shell
	between []*pane // that may stand in the way
	haze    float64 // extinction on the way, 1/m
	w       watcher
}

// gather fills row (by column) with the irradiance per watt at a place.
func (g *lighting) gather(row []float64, rec *receiver) {
	for i := range g.lamps {
		l := &g.lamps[i]
		nb := len(l.beams)
		for c := range l.cells {
			col := g.first[i] + c*nb
			g.light(row[col:col+nb], l, c, rec)
			g.dim(row[col:col+nb], l.cells[c], rec.at)
		}
	}
}

// dim takes away what the haze does on the way.
func (g *lighting) dim(row []float64, from, to vec) {
	if g.haze == 0 {
		return
	}
	left := math.Exp(-g.haze * to.minus(from).length())
	for b := range row {
		row[b] *= left
	}
}

// light adds to dst the irradiance per watt, by beam, from a cell of a lamp. What can stand
// between is found first: mostly nothing.
func (g *lighting) light(dst []float64, l *lamp, cell int, rec *receiver) {
	from := l.cells[cell]
	d := rec.at.minus(from)
	if d.dot(rec.n) >= rec.reach || d.dot(l.axis) <= -rec.reach-l.radius {
		return // behind the plane, or the lamp
	}
	switch far := d.length(); {
	case g.blocked(l, cell, rec):
	case rec.panel < 0 && len(g.between) > 0:
		if share := g.seen(l, from, rec.at); share > 0 {
			l.toPoint(dst, from, rec.at, rec.n, share, far)
		}
	case rec.panel < 0:
		l.toPoint(dst, from, rec.at, rec.n, 1, far)
	case len(g.between) > 0 || rec.cut || l.masks(from, rec):
		g.past(dst, l, from, rec, far)
	default:
		l.toPatch(dst, from, rec, far)
	}
}

// toPatch adds the mean over a patch that sees the whole cell, by 2², 3² or 4² points of
// quadrature the larger it is for its distance.
func (l *lamp) toPatch(dst []float64, from vec, rec *receiver, d float64) {
	n := 2
	if rec.size > .5*d {
		n = 4
	} else if rec.size > .25*d {
		n = 3
	}
	g := gauss[n]
	for a := range n {
		for b := range n {
			l.toPoint(dst, from, rec.patch.at(g.at[a], g.at[b]), rec.n, g.weight[a]*g.weight[b], d)
		}
	}
}

// toPoint adds the light of one cell at one point, the cell cut up if it is near.
func (l *lamp) toPoint(dst []float64, from, p, n vec, weight, d float64) {
	along, across := l.split(from, p, d)
	l.parts(from, along, across, func(q vec, share float64) {
		l.intensity(dst, q, p, n, weight*share)
	})
}

// parts calls f for points of a cell, each with its share of the whole: those of quadrature, or where
// there are more than four the middles of even parts.
func (l *lamp) parts(from vec, along, across int, f func(q vec, share float64)) {
	if along*across == 1 {
		f(from, 1)
		return
	}
	side := l.axis.cross(l.row)
	for i := range along {
		a, x := pointOf(along, i)
		p := from.plus(l.row.times((a - .5) * l.along))
		for j := range across {
			b, y := pointOf(across, j)
			f(p.plus(side.times((b-.5)*l.across)), x*y)
		}
	}
}

// pointOf is where of n points that stand for 0 to 1 one lies, and its weight.
func pointOf(n, i int) (at, weight float64) {
	if n < len(gauss) {
		return gauss[n].at[i], gauss[n].weight[i]
	}
	return (float64(i) + .5) / float64(n), 1 / float64(n)
}

// receivers makes the places of all panels, in the order of the panels' First.
func (sh *shell) receivers() []receiver {
	out := make([]receiver, 0, sh.patches)
	for i := range sh.panels {
		out = sh.panels[i].receivers(out, i)
	}
	return out
}

// receivers adds those of one panel, of an index.
func (p *Panel) receivers(out []receiver, index int) []receiver {
	for row := range p.Rows {
		for col := range p.Cols {
			part := p.part(col, row, p.Cols, p.Rows)
			c := part.corners()
			edge := trimmed(c[:], sides(p.outline, p.n))
			if edge == nil {
				edge = c[:]
			}
			out = append(out, receiver{edge: edge, cut: len(p.outline) > 0, at: part.at(.5, .5), n: p.n, patch: part, panel: index, size: math.Max(part.w, part.h), reach: math.Hypot(part.w, part.h) / 2})
		}
	}
	return out
}

// spread runs f for 0..n-1 on all processors, in blocks, and stops early when
// the context is done. It returns when all is over.
func spread(ctx context.Context, n int, f func(i int)) {
	spreadWith(ctx, n, func() func(int) { return f })
}

// spreadWith is spread with memory of each worker's own, which worker makes.
func spreadWith(ctx context.Context, n int, worker func() func(i int)) {
	workers := min(runtime.GOMAXPROCS(0), n)
	var next atomic.Int64
	var wg sync.WaitGroup
	const block = 8
	for range workers {
		wg.Go(func() {
			f := worker()
			for ctx.Err() == nil {
				from := int(next.Add(block)) - block
				if from >= n {
					return
				}
				for i := from; i < min(from+block, n); i++ {
					f(i)
				}
			}
		})
	}
	wg.Wait()
}
