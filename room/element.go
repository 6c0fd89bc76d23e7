package room

import "math"

// element is one piece of the coarse grid that inter-reflection is solved on.
type element struct {
	sheet
	ball
	panel   int
	area    float64 // uncovered, m2
	outline []vec   // corners
	extent  float64 // area of the outline, m2
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
				c := e.corners()
				e.outline = c[:]
				if trim := trimmed(e.outline, sides(p.outline, p.n)); trim != nil {
					e.outline = trim
				}
				e.extent, _ = extent(e.outline)
				e.ball = ballOf(e.outline)
				if !p.loose { // what is loose sends nothing
					p.eachPatch(col, row, func(place int) { e.area += area[place] })
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

// before tells whether some of b lies in front of a plane at p.
func before(p, n vec, b *element) bool {
	for _, c := range b.outline {
		if c.minus(p).dot(n) > 1e-9 {
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
