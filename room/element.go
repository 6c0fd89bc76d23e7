package room

import (
	"context"
	"math"
)

// element is one piece of the coarse grid that inter-reflection is solved on.
type element struct {
	sheet
	panel  int
	area   float64 // uncovered, m2
	edges  [4]vec  // corners
	points [4]elementPoint
}

// elementPoint is a quadrature point of an element.
type elementPoint struct {
	at   vec
	open bool // not under something
}

// elementsOf cuts the panels into elements; patches gives the uncovered area
// of the fine patches, of which an element is made.
func (sh *shell) elementsOf(area []float64) []element {
	out := make([]element, 0, sh.elements)
	for i := range sh.panels {
		p := &sh.panels[i]
		for row := range p.elemRows {
			for col := range p.elemCols {
				e := element{sheet: p.part(col, row, p.elemCols, p.elemRows), panel: i}
				e.edges = e.corners()
				if !p.loose { // what is loose sends nothing
					p.eachPatch(col, row, func(place int) { e.area += area[place] })
				}
				for k := range e.points {
					at := e.at(gauss[2].at[k&1], gauss[2].at[k>>1])
					e.points[k] = elementPoint{at, e.area > 0 && !sh.covered(i, at)}
				}
				out = append(out, e)
			}
		}
	}
	return out
}

// eachPatch calls f for the places that make up one element of the panel.
func (p *Panel) eachPatch(col, row int, f func(place int)) {
	nc, nr := p.Cols/p.elemCols, p.Rows/p.elemRows
	for r := row * nr; r < (row+1)*nr; r++ {
		for c := col * nc; c < (col+1)*nc; c++ {
			f(p.First + r*p.Cols + c)
		}
	}
}

// exchange returns the symmetric matrix of area times view factor, row after
// row. Each pair is computed from its smaller member, where the light of the
// other varies less. Area times factor is the same both ways (reciprocity), so half of
// the pairs are enough; each worker writes rows of its own.
func (sh *shell) exchange(ctx context.Context, elements []element) []float64 {
	n := len(elements)
	out := make([]float64, n*n)
	spread(ctx, n, func(i int) {
		var near blockers
		for j := i + 1; j < n; j++ {
			a, b := &elements[i], &elements[j]
			if b.area < a.area {
				a, b = b, a
			}
			out[i*n+j] = sh.pair(a, b, &near)
		}
	})
	for i := range n {
		for j := range i {
			out[i*n+j] = out[j*n+i]
		}
	}
	return out
}

// pair is the area of a times the view factor from a to b: the mean over the bare points
// of a of the closed form, times the share of b that the point sees. Two elements exchange
// nothing when one lies wholly behind the other's plane.
func (sh *shell) pair(a, b *element, near *blockers) float64 {
	if a.area == 0 || b.area == 0 || !before(a, b) || !before(b, a) {
		return 0
	}
	low, high := bound(a.edges[0], a.edges[1], a.edges[2], a.edges[3], b.edges[0], b.edges[1], b.edges[2], b.edges[3])
	sh.block.within(low, high, near)
	sum, open := 0.0, 0
	for i := range a.points {
		p := &a.points[i]
		if !p.open {
			continue
		}
		open++
		f := elementFactor(p.at, a.n, b)
		if f > 0 {
			sum += f * near.share(p.at, b)
		}
	}
	if open == 0 {
		return 0
	}
	return sum / float64(open) * a.area
}

// elementFactor is pointFactor for the side that the element shows.
func elementFactor(p, n vec, e *element) float64 {
	if p.minus(e.corner).dot(e.n) <= 0 {
		return 0
	}
	return pointFactor(p, n, &e.edges)
}

// share is the part of an element's rectangle that is bare and seen from p: of
// its four points, and when they disagree of sixteen.
func (b *blockers) share(p vec, e *element) float64 {
	seen, open := 0, 0
	for i := range e.points {
		if !e.points[i].open {
			continue
		}
		open++
		if b.empty() || b.clear(p, e.points[i].at) {
			seen++
		}
	}
	if open == 0 {
		return 0
	}
	if 0 < seen && seen < open {
		seen, open = b.closer(p, e)
	}
	return float64(seen) / float64(open) * e.area / e.sheet.area()
}

// closer counts the points of a four by four grid that p sees. Each belongs to the
// quarter that one of the element's four points stands for, and is bare when that is.
func (b *blockers) closer(p vec, e *element) (seen, open int) {
	const n = 4
	for i := range n * n {
		if !e.points[i%n/2+i/n/2*2].open {
			continue
		}
		open++
		if b.clear(p, e.at((float64(i%n)+.5)/n, (float64(i/n)+.5)/n)) {
			seen++
		}
	}
	return seen, open
}

// before tells whether some of b lies in front of a.
func before(a, b *element) bool {
	for _, c := range b.edges {
		if c.minus(a.corner).dot(a.n) > 1e-9 {
			return true
		}
	}
	return false
}

// closeUp scales the exchange areas, keeping them symmetric, until each row
// sums to its element's area: then no light is lost through cracks of the
// quadrature, and none made. Elements that see nothing stay as they are.
//
// What is sought is a factor d(i) for each element with Σ s(i,j)·d(i)·d(j) = area(i)
// (R. Sinkhorn's scaling of matrices, 1964, from memory, for a symmetric one). A row and
// its column are scaled together, so each step goes the square root of the way.
func closeUp(s []float64, elements []element) {
	n := len(elements)
	d := make([]float64, n)
	for i := range d {
		d[i] = 1
	}
	for range 60 {
		worst := 0.0
		for i := range n {
			sum := 0.0
			for j, v := range s[i*n : (i+1)*n] {
				sum += v * d[j]
			}
			if sum*d[i] <= 1e-12 {
				continue
			}
			ratio := elements[i].area / (sum * d[i])
			worst = math.Max(worst, math.Abs(ratio-1))
			d[i] *= math.Sqrt(ratio)
		}
		if worst < 1e-9 {
			break
		}
	}
	for i := range n {
		for j := range n {
			s[i*n+j] *= d[i] * d[j]
		}
	}
}
