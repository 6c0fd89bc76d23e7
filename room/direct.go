package room

import (
	"context"
	"math"
	"runtime"
	"sync"
	"sync/atomic"

	"lampblack/light"
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
	panel int // -1 for a point
	size  float64
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

// light adds to dst the irradiance per watt, by beam, from the cell at from. A point
// is asked once; a patch gets the mean over it, by 2², 3² or 4² points of quadrature the
// larger it is for its distance.
func (l *lamp) light(dst []float64, from vec, rec *receiver, sh *shell) {
	d := rec.at.minus(from).length()
	if rec.panel < 0 {
		l.toPoint(dst, from, rec.at, rec.n, 1, d, sh)
		return
	}
	n := 2
	if rec.size > .5*d {
		n = 4
	} else if rec.size > .25*d {
		n = 3
	}
	g := gauss[n]
	for a := range n {
		for b := range n {
			p := rec.patch.at(g.at[a], g.at[b])
			l.toPoint(dst, from, p, rec.n, g.weight[a]*g.weight[b], d, sh)
		}
	}
}

// toPoint adds the light of one cell at one point, the cell cut up if it is
// near. What stands in the way is asked once for each part.
func (l *lamp) toPoint(dst []float64, from, p, n vec, weight, d float64, sh *shell) {
	if p.minus(from).dot(n) >= 0 {
		return // behind the plane, as far as the cell's middle goes
	}
	along, across := l.split(d)
	side := l.axis.cross(l.row)
	weight /= float64(along * across)
	for i := range along {
		for j := range across {
			q := from
			if along*across > 1 {
				q = q.plus(l.row.times(((float64(i)+.5)/float64(along) - .5) * l.along))
				q = q.plus(side.times(((float64(j)+.5)/float64(across) - .5) * l.across))
			}
			var part [light.MaxEmitters]float64
			beams := part[:len(l.beams)]
			if l.intensity(beams, q, p, n, weight) && sh.block.clear(p, q) {
				for b, v := range beams {
					dst[b] += v
				}
			}
		}
	}
}

// uncovered returns the share of a patch that is not under something, to a sixteenth.
func (sh *shell) uncovered(panel int, patch *sheet) float64 {
	const n = 4
	open := 0
	for a := range n {
		for b := range n {
			if !sh.covered(panel, patch.at((float64(a)+.5)/n, (float64(b)+.5)/n)) {
				open++
			}
		}
	}
	return float64(open) / (n * n)
}

// receivers makes the places of all panels, in the order of the panels' First.
func (sh *shell) receivers() []receiver {
	out := make([]receiver, 0, sh.patches)
	for i := range sh.panels {
		p := &sh.panels[i]
		for row := range p.Rows {
			for col := range p.Cols {
				part := p.part(col, row, p.Cols, p.Rows)
				out = append(out, receiver{at: part.at(.5, .5), n: p.n, patch: part, panel: i, size: math.Max(part.w, part.h)})
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
