package room

import (
	"context"

	"gonum.org/v1/gonum/blas"
	"gonum.org/v1/gonum/blas/blas32"
	"gonum.org/v1/gonum/mat"
)

// reflected adds the inter-reflection to total, and finds that of glow: elements exchange light until it
// has died away, each band by itself, as it has reflectances of its own; and every patch gathers
// what comes to it from the elements.
func (s *solving) reflected(ctx context.Context) error {
	s.gathered = s.gather(ctx)
	s.t.gathered = s.gathered
	factors := s.factors(s.gathered)
	s.t.glowingElements(s.shell)
	of := s.t.bundlesIn()
	once := s.once(of)
	b := newBouncer(factors, len(s.elements))
	for band := range s.t.nodes.at {
		if ctx.Err() != nil {
			return ctx.Err()
		}
		b.set(s.reflectances(band))
		if err := s.reflectedIn(band, of[band], once[band], b); err != nil {
			return err
		}
		if err := s.glowIn(band, b); err != nil {
			return err
		}
	}
	s.t.glowPower()
	s.atPoints(ctx)
	return nil
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

// reflectedIn solves the light of one band: the irradiance of the elements by light
// reflected once, then by all reflected light, a column for each bundle, and from
// there to the patches.
func (s *solving) reflectedIn(band int, bundles []int, once *mat.Dense, b *bouncer) error {
	if len(bundles) == 0 {
		return nil
	}
	sent := s.sent(bundles, band)
	all, err := b.all(once)
	if err != nil {
		return err
	}
	got := s.toPatches(s.exitances(sent, all, band), sent, band)
	for p := range s.shell.patches {
		for c, i := range bundles {
			b := &s.t.bundles[i]
			s.t.total[p][b.first+band-b.from] += got.Data[p*got.Stride+c]
		}
	}
	return nil
}

// reflectances is that of each element at the node of a band.
func (s *solving) reflectances(band int) []float64 {
	out := make([]float64, len(s.elements))
	for i := range out {
		out[i] = s.t.means[s.shell.panels[s.elements[i].panel].finish][band]
	}
	return out
}

// sent is what the patches send out of the direct light of some bundles: a row
// for each patch, W/m2.
func (s *solving) sent(bundles []int, band int) blas32.General {
	out := general(s.shell.patches, len(bundles))
	for p := range s.shell.patches {
		mean := s.t.reflectanceOf(p, band)
		for c, i := range bundles {
			out.Data[p*out.Stride+c] = mean * s.t.direct[p][i]
		}
	}
	return out
}

// reflectanceOf is that of a patch at the node of a band.
func (t *Transport) reflectanceOf(place, band int) float32 {
	return float32(t.means[t.Panels[t.Places[place].Panel].finish][band])
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
func (s *solving) exitances(sent blas32.General, all *mat.Dense, band int) blas32.General {
	out := general(len(s.elements), sent.Cols)
	reflectances := s.reflectances(band)
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

// toPatches is what each patch gathers from the elements, and from the spots of
// direct light near it.
func (s *solving) toPatches(exitances, sent blas32.General, band int) blas32.General {
	got := s.fromElements(exitances)
	// Twice: what is near is first lit by direct light alone, then by what it has gathered itself.
	near := general(got.Rows, got.Cols)
	for range 2 {
		s.addNear(near, got, sent, band)
	}
	for i, v := range near.Data {
		got.Data[i] = max(0, got.Data[i]+v)
	}
	s.settle(got, sent, exitances, band)
	s.level(got, exitances)
	return got
}

// fromElements is what the patches gather of what leaves the elements.
func (s *solving) fromElements(exitances blas32.General) blas32.General {
	g := s.gathered
	got := general(s.shell.patches, exitances.Cols)
	share := blas32.General{Rows: s.shell.patches, Cols: g.elements, Stride: g.elements, Data: g.share}
	blas32.Gemm(blas.NoTrans, blas.NoTrans, 1, share, exitances, 0, got)
	return got
}

// addNear fills near with what the patches gather of spots: the light that the patches near them send
// out, over the mean of their elements. got and near are what the patches have gathered so far.
func (s *solving) addNear(near, got, sent blas32.General, band int) {
	last := general(near.Rows, near.Cols)
	copy(last.Data, near.Data)
	for p := range s.shell.patches {
		row := near.Data[p*near.Stride : (p+1)*near.Stride]
		clear(row)
		for _, spot := range s.gathered.near[p] {
			q := int(spot.place) * near.Stride
			mean := s.t.reflectanceOf(int(spot.place), band)
			for c := range row {
				row[c] += spot.more * (sent.Data[q+c] + mean*(got.Data[q+c]+last.Data[q+c]))
			}
		}
	}
}

// atPoints adds the reflected light at eyes and paths, and finds the glow there, gathered from
// the patches themselves: a seat is near its wall, and a performer near the
// drapes.
func (s *solving) atPoints(ctx context.Context) {
	first := s.shell.patches
	spread(ctx, len(s.receivers)-first, func(i int) {
		seen := s.patchFactors(&s.receivers[first+i])
		s.fromPatches(s.t.total[first+i], seen)
		s.glowAt(s.t.glow.to[first+i], seen)
	})
}

// fromPatches adds the reflected light at a point, by column, from all patches as it sees them.
func (s *solving) fromPatches(dst []float32, factors []float64) {
	t := s.t
	sums := make([]float64, len(t.columns))
	for place, f := range factors {
		if f == 0 {
			continue
		}
		means := t.means[t.Panels[t.Places[place].Panel].finish]
		for c, v := range t.total[place] {
			sums[c] += f * means[t.columns[c].band] * float64(v)
		}
	}
	for c, v := range sums {
		dst[c] += float32(v)
	}
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
