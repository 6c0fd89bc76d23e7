package room

import (
	"context"

	"gonum.org/v1/gonum/mat"
)

// reflected adds the inter-reflection to Total. The exchange areas become view factors,
// row by row over the element's own area; each light, having reflectances of its own, is
// solved by itself, for all its drives at once.
func (s *solving) reflected(ctx context.Context) error {
	exchange := s.shell.exchange(ctx, s.elements)
	closeUp(exchange, s.elements)
	n := len(s.elements)
	for i := range n {
		if a := s.elements[i].area; a > 0 {
			for j := range n {
				exchange[i*n+j] /= a
			}
		}
	}
	first := s.firstBounce(ctx, exchange)
	for k := range s.t.Lights {
		if ctx.Err() != nil {
			return ctx.Err()
		}
		if err := s.reflectedLight(k, exchange, first); err != nil {
			return err
		}
	}
	s.looseReflected(ctx)
	s.reflectedAtPoints(ctx)
	return nil
}

// reflectedLight solves the drives of light k: from the irradiance of the elements by light
// reflected once to that by all reflected light (bounce), a column for each drive, and from
// there to the patches.
func (s *solving) reflectedLight(k int, factors []float64, first []float32) error {
	var drives []int
	for d, l := range s.t.Light {
		if l == k {
			drives = append(drives, d)
		}
	}
	all, err := bounce(factors, s.reflectances(k), s.once(first, drives, k))
	if err != nil {
		return err
	}
	s.interpolate(all, drives)
	return nil
}

// reflectances is, for each element, the mean reflectance for light k.
func (s *solving) reflectances(k int) []float64 {
	out := make([]float64, len(s.elements))
	for i := range out {
		out[i] = s.t.means[s.shell.panels[s.elements[i].panel].finish][k]
	}
	return out
}

// eachPlace calls f for the patches of an element.
func (s *solving) eachPlace(element int, f func(place int)) {
	p := &s.shell.panels[s.elements[element].panel]
	at := element - p.elem
	p.eachPatch(at%p.elemCols, at/p.elemCols, f)
}

// interpolate adds the elements' reflected light to the patches, bilinearly
// between the middles of elements: without it a wall would show its elements as steps,
// and checks would find edges of light that are not there.
func (s *solving) interpolate(reflected *mat.Dense, drives []int) {
	for i := range s.shell.panels {
		p := &s.shell.panels[i]
		for row := range p.Rows {
			r0, r1, y := neighbours(row, p.Rows, p.elemRows)
			for col := range p.Cols {
				place := p.First + row*p.Cols + col
				if s.t.Places[place].Area == 0 {
					continue
				}
				c0, c1, x := neighbours(col, p.Cols, p.elemCols)
				corners := [4]int{r0*p.elemCols + c0, r0*p.elemCols + c1, r1*p.elemCols + c0, r1*p.elemCols + c1}
				weights := [4]float64{(1 - x) * (1 - y), x * (1 - y), (1 - x) * y, x * y}
				s.blend(place, p.elem, corners, weights, reflected, drives)
			}
		}
	}
}

// blend adds a weighted mean of four elements; those that are wholly under
// something do not count.
func (s *solving) blend(place, first int, corners [4]int, weights [4]float64, reflected *mat.Dense, drives []int) {
	sum := 0.0
	for k, c := range corners {
		if s.elements[first+c].area == 0 {
			weights[k] = 0
		}
		sum += weights[k]
	}
	if sum == 0 {
		return
	}
	total := s.t.Total[place]
	for k, c := range corners {
		if weights[k] == 0 {
			continue
		}
		row := reflected.RawRowView(first + c)
		for j, d := range drives {
			total[d] += float32(weights[k] / sum * max(0, row[j]))
		}
	}
}

// neighbours returns the two coarse cells whose middles lie around the middle
// of fine cell i, and how far it is from the first to the second.
func neighbours(i, fine, coarse int) (a, b int, share float64) {
	return nearTo((float64(i)+.5)/float64(fine), coarse)
}

// reflectedAtPoints adds the reflected light at eyes and paths, gathered from
// the patches themselves: a seat is near its wall, and a performer near the
// drapes.
func (s *solving) reflectedAtPoints(ctx context.Context) {
	t := s.t
	first := s.shell.patches
	spread(ctx, len(s.receivers)-first, func(i int) {
		for d, v := range s.gathered(&s.receivers[first+i]) {
			t.Total[first+i][d] += float32(v)
		}
	})
}

// gathered is the reflected light at a point, by drive, from all patches.
func (s *solving) gathered(rec *receiver) []float64 {
	t := s.t
	sums := make([]float64, len(t.Light))
	for place, f := range s.patchFactors(rec) {
		if f == 0 {
			continue
		}
		means := t.means[t.Panels[t.Places[place].Panel].finish]
		for d, v := range t.Total[place] {
			sums[d] += f * means[t.Light[d]] * float64(v)
		}
	}
	return sums
}

// patchFactors are the view factors from a point to all patches; as the room
// is closed they are scaled to sum to 1.
func (s *solving) patchFactors(rec *receiver) []float64 {
	out := make([]float64, s.shell.patches)
	sum := 0.0
	for i := range out {
		patch := &s.receivers[i]
		bare := s.t.Places[i].Area
		if bare == 0 || s.shell.panels[patch.panel].loose || rec.at.minus(patch.at).dot(patch.n) <= 0 {
			continue
		}
		edges := patch.patch.corners()
		f := pointFactor(rec.at, rec.n, &edges)
		if f == 0 {
			continue
		}
		out[i] = f * bare / patch.patch.area() * s.open(rec.at, &patch.patch)
		sum += out[i]
	}
	if sum > 0 {
		for i := range out {
			out[i] /= sum
		}
	}
	return out
}

// open is the share of a patch that p sees, of four points on it: enough, as every patch is
// small.
func (s *solving) open(p vec, patch *sheet) float64 {
	seen := 0
	for k := range 4 {
		if s.shell.block.clear(p, patch.at(gauss[2].at[k&1], gauss[2].at[k>>1])) {
			seen++
		}
	}
	return float64(seen) / 4
}
