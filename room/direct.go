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
	panel int     // -1 for a point
	size  float64 // the longer side
	reach float64 // half of the diagonal
	area  float64 // that is not under something
	// bare is a point of the patch that is under nothing, as near its middle as may be;
	// partly tells that some of it is under something.
	bare   vec
	partly bool
}

// gather fills row (by column) with the irradiance per watt at a place.
func (s *sources) gather(row []float64, rec *receiver, sh *shell) {
	for i := range s.lamps {
		l := &s.lamps[i]
		nb := len(l.beams)
		for c, from := range l.cells {
			col := s.first[i] + c*nb
			l.light(row[col:col+nb], from, rec, sh)
		}
	}
}

// light adds to dst the irradiance per watt, by beam, from the cell at from. What can stand
// between is found first: mostly nothing.
func (l *lamp) light(dst []float64, from vec, rec *receiver, sh *shell) {
	if rec.at.minus(from).dot(rec.n) >= rec.size {
		return // behind the plane
	}
	d := rec.at.minus(from).length()
	lens := ball{from, math.Hypot(l.along, l.across) / 2}
	var memory [16]*pane
	between := sh.between(&lens, &ball{rec.at, rec.reach}, memory[:0])
	switch {
	case rec.panel < 0 && len(between) > 0:
		l.toEye(dst, from, rec, between)
	case rec.panel < 0:
		l.toPoint(dst, from, rec.at, rec.n, 1, d)
	case len(between) > 0:
		l.past(dst, from, rec, d, between)
	default:
		l.toPatch(dst, from, rec, d)
	}
}

// between lists the panes that may cut a ray from one ball to another: those whose plane does
// not have both on one side, and that reach into the cone about both.
func (sh *shell) between(from, to *ball, out []*pane) []*pane {
	whole := ball{to.middle, to.radius}
	c := whole.cone(from.middle)
	for i := range sh.panes {
		p := &sh.panes[i]
		a, b := from.middle.dot(p.n)-p.off, to.middle.dot(p.n)-p.off
		if a > from.radius && b > to.radius-grazing || a < -from.radius && b < grazing-to.radius {
			continue
		}
		wide := ball{p.middle, p.radius + from.radius}
		if d := wide.cone(from.middle); d.apart(&c) {
			continue
		}
		out = append(out, p)
	}
	return out
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
	along, across := l.split(d)
	l.parts(from, along, across, func(q vec, share float64) {
		l.intensity(dst, q, p, n, weight*share)
	})
}

// parts calls f for the middles of parts of a cell, each with its share of the whole.
func (l *lamp) parts(from vec, along, across int, f func(q vec, share float64)) {
	share := 1 / float64(along*across)
	if along*across == 1 {
		f(from, 1)
		return
	}
	side := l.axis.cross(l.row)
	for i := range along {
		for j := range across {
			q := from.plus(l.row.times(((float64(i)+.5)/float64(along) - .5) * l.along))
			f(q.plus(side.times(((float64(j)+.5)/float64(across)-.5)*l.across)), share)
		}
	}
}

// shadowed is into how many parts, along and across, a cell is cut at the least where
// something stands between: a lens is an area, and what is thinner than it dims it
// and does not hide it.
const shadowed = 3

// past adds the mean over a patch of what comes past things: from each part of the cell what
// it sees of the patch, cut out exactly.
func (l *lamp) past(dst []float64, from vec, rec *receiver, d float64, between []*pane) {
	along, across := l.split(d)
	if l.along > 0 {
		along = max(along, shadowed)
	}
	if l.across > 0 {
		across = max(across, shadowed)
	}
	corners := rec.patch.corners()
	b := ballOf(corners[:])
	var w watcher
	l.parts(from, along, across, func(q vec, share float64) {
		w.to(q, between)
		c := b.cone(q)
		pieces, whole := w.visible(corners[:], &c)
		if whole {
			share *= rec.patch.area() / rec.area / 4
			for k := range 4 {
				l.intensity(dst, q, rec.patch.at(gauss[2].at[k&1], gauss[2].at[k>>1]), rec.n, share)
			}
			return
		}
		for _, piece := range pieces {
			l.toPiece(dst, q, rec.n, share/rec.area, piece)
		}
	})
}

// toPiece adds the light on a convex piece of a patch, triangle by triangle; weight is by area.
func (l *lamp) toPiece(dst []float64, q, n vec, weight float64, piece []vec) {
	a := piece[0]
	for i := 1; i+1 < len(piece); i++ {
		b, c := piece[i], piece[i+1]
		area := b.minus(a).cross(c.minus(a)).length() / 2
		l.intensity(dst, q, a.plus(b).plus(c).times(1./3), n, weight*area)
	}
}

// toEye adds what a point sees of a cell past things, as its share of the light of the whole.
func (l *lamp) toEye(dst []float64, from vec, rec *receiver, between []*pane) {
	share := l.seen(from, rec.at, between)
	if share == 0 {
		return
	}
	l.toPoint(dst, from, rec.at, rec.n, share, rec.at.minus(from).length())
}

// seen is the share of a cell's opening that p sees past things.
func (l *lamp) seen(from, p vec, between []*pane) float64 {
	a, b := l.row.times(max(l.along, leastLens)/2), l.axis.cross(l.row).times(max(l.across, leastLens)/2)
	corners := []vec{from.minus(a).minus(b), from.plus(a).minus(b), from.plus(a).plus(b), from.minus(a).plus(b)}
	var w watcher
	w.to(p, between)
	lens := ballOf(corners)
	c := lens.cone(p)
	pieces, whole := w.visible(corners, &c)
	if whole {
		return 1
	}
	area := 0.0
	for _, piece := range pieces {
		one, _ := extent(piece)
		area += one
	}
	return area / (4 * a.length() * b.length())
}

// leastLens, in m, is a lens of no size.
const leastLens = .001

// receivers makes the places of all panels, in the order of the panels' First.
func (sh *shell) receivers() []receiver {
	out := make([]receiver, 0, sh.patches)
	for i := range sh.panels {
		p := &sh.panels[i]
		for row := range p.Rows {
			for col := range p.Cols {
				part := p.part(col, row, p.Cols, p.Rows)
				out = append(out, receiver{at: part.at(.5, .5), n: p.n, patch: part, panel: i, size: math.Max(part.w, part.h), reach: math.Hypot(part.w, part.h) / 2})
			}
		}
	}
	return out
}

// spread runs f for 0..n-1 on all processors, in blocks, and stops early when
// the context is done. It returns when all is over.
func spread(ctx context.Context, n int, f func(i int)) {
	workers := min(runtime.GOMAXPROCS(0), n)
	var next atomic.Int64
	var wg sync.WaitGroup
	const block = 8
	for range workers {
		wg.Go(func() {
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
