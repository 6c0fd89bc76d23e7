package room

import (
	"context"

	"gonum.org/v1/gonum/blas"
	"gonum.org/v1/gonum/blas/blas32"
	"gonum.org/v1/gonum/mat"
)

// reflected adds the inter-reflection to Total: elements exchange light until it has died
// away, each light by itself, as it has reflectances of its own; and every patch gathers
// what comes to it from the elements.
func (s *solving) reflected(ctx context.Context) error {
	s.gathered = s.gather(ctx)
	factors := s.factors(s.gathered)
	for k := range s.t.Lights {
		if ctx.Err() != nil {
			return ctx.Err()
		}
		if err := s.reflectedLight(k, factors); err != nil {
			return err
		}
	}
	s.reflectedAtPoints(ctx)
	return s.spreadGlow(factors)
}

// factors are the view factors between elements, from those of their patches: area times
// factor is the same both ways (reciprocity), so that the mean of both is taken.
func (s *solving) factors(g *gathered) []float64 {
	n := len(s.elements)
	out := make([]float64, n*n)
	for i := range s.elements {
		if s.elements[i].area == 0 {
			continue
		}
		s.eachPlace(i, func(place int) {
			half := s.t.Places[place].Area / 2
			if half == 0 {
				return
			}
			for j, f := range g.row(place) {
				if f != 0 {
					out[i*n+j] += half * float64(f)
					out[j*n+i] += half * float64(f)
				}
			}
		})
	}
	closeUp(out, s.elements)
	for i := range n {
		if a := s.elements[i].area; a > 0 {
			for j := range n {
				out[i*n+j] /= a
			}
		}
	}
	return out
}

// reflectedLight solves the drives of light k: the irradiance of the elements by light
// reflected once, then by all reflected light (bounce), a column for each drive, and from
// there to the patches.
func (s *solving) reflectedLight(k int, factors []float64) error {
	var drives []int
	for d, l := range s.t.Light {
		if l == k {
			drives = append(drives, d)
		}
	}
	if len(drives) == 0 {
		return nil
	}
	sent := s.sent(drives, k)
	all, err := bounce(factors, s.reflectances(k), s.once(sent, drives))
	if err != nil {
		return err
	}
	s.toPatches(s.exitances(sent, all, k), sent, drives, k)
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

// sent is what the patches send out of the direct light of some drives, all of light k: a row
// for each patch, W/m2.
func (s *solving) sent(drives []int, k int) blas32.General {
	out := general(s.shell.patches, len(drives))
	for p := range s.shell.patches {
		mean := float32(s.t.means[s.t.Panels[s.t.Places[p].Panel].finish][k])
		for c, d := range drives {
			out.Data[p*out.Stride+c] = mean * s.t.Direct[p][d]
		}
	}
	return out
}

func general(rows, cols int) blas32.General {
	return blas32.General{Rows: rows, Cols: cols, Stride: cols, Data: make([]float32, rows*cols)}
}

// eachPlace calls f for the patches of an element.
func (s *solving) eachPlace(element int, f func(place int)) {
	p := &s.shell.panels[s.elements[element].panel]
	at := element - p.elem
	p.eachPatch(at%p.elemCols, at/p.elemCols, f)
}

// exitances is what leaves the elements by reflection, of direct and of reflected light.
func (s *solving) exitances(sent blas32.General, all *mat.Dense, k int) blas32.General {
	out := general(len(s.elements), sent.Cols)
	reflectances := s.reflectances(k)
	for i := range s.elements {
		area := s.elements[i].area
		if area == 0 {
			continue
		}
		row := out.Data[i*out.Stride : (i+1)*out.Stride]
		for c, v := range all.RawRowView(i) {
			row[c] = float32(reflectances[i] * max(0, v))
		}
		s.eachPlace(i, func(place int) {
			share := float32(s.t.Places[place].Area / area)
			for c, v := range sent.Data[place*sent.Stride : (place+1)*sent.Stride] {
				row[c] += share * v
			}
		})
	}
	return out
}

// toPatches adds to Total what each patch gathers from the elements, and from the spots of
// direct light near it.
func (s *solving) toPatches(exitances, sent blas32.General, drives []int, k int) {
	g := s.gathered
	got := general(s.shell.patches, len(drives))
	share := blas32.General{Rows: s.shell.patches, Cols: g.elements, Stride: g.elements, Data: g.share}
	blas32.Gemm(blas.NoTrans, blas.NoTrans, 1, share, exitances, 0, got)
	// Twice: what is near is first lit by direct light alone, then by what it has gathered itself.
	near := general(got.Rows, got.Cols)
	for range 2 {
		s.addNear(near, got, sent, k)
	}
	for p := range s.shell.patches {
		total := s.t.Total[p]
		for c, d := range drives {
			total[d] += max(0, got.Data[p*got.Stride+c]+near.Data[p*near.Stride+c])
		}
	}
}

// addNear fills near with what the patches gather of spots: the light that the patches near them send
// out, over the mean of their elements. got and near are what the patches have gathered so far.
func (s *solving) addNear(near, got, sent blas32.General, k int) {
	last := general(near.Rows, near.Cols)
	copy(last.Data, near.Data)
	for p := range s.shell.patches {
		row := near.Data[p*near.Stride : (p+1)*near.Stride]
		clear(row)
		for _, spot := range s.gathered.near[p] {
			q := int(spot.place) * near.Stride
			mean := float32(s.t.means[s.t.Panels[s.t.Places[spot.place].Panel].finish][k])
			for c := range row {
				row[c] += spot.more * (sent.Data[q+c] + mean*(got.Data[q+c]+last.Data[q+c]))
			}
		}
	}
}

// reflectedAtPoints adds the reflected light at eyes and paths, gathered from
// the patches themselves: a seat is near its wall, and a performer near the
// drapes.
func (s *solving) reflectedAtPoints(ctx context.Context) {
	t := s.t
	first := s.shell.patches
	s.seen = make([][]float64, len(s.receivers)-first)
	spread(ctx, len(s.seen), func(i int) {
		s.seen[i] = s.patchFactors(&s.receivers[first+i])
		for d, v := range s.fromPatches(s.seen[i]) {
			t.Total[first+i][d] += float32(v)
		}
	})
}

// fromPatches is the reflected light at a point, by drive, from all patches as it sees them.
func (s *solving) fromPatches(factors []float64) []float64 {
	t := s.t
	sums := make([]float64, len(t.Light))
	for place, f := range factors {
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
	var w watcher
	w.from(rec.at, s.shell.panes)
	sum := 0.0
	for i := range out {
		patch := &s.receivers[i]
		if s.t.Places[i].Area == 0 || s.shell.panels[patch.panel].loose || rec.at.minus(patch.at).dot(patch.n) <= 0 {
			continue
		}
		b := ballOf(patch.edge)
		c := b.cone(rec.at)
		out[i] = w.factor(rec.n, patch.edge, &c)
		sum += out[i]
	}
	if sum > 0 {
		for i := range out {
			out[i] /= sum
		}
	}
	return out
}
