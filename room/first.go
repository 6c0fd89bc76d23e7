package room

import (
	"gonum.org/v1/gonum/blas"
	"gonum.org/v1/gonum/blas/blas32"
	"gonum.org/v1/gonum/mat"
)

// once is the irradiance of the elements by light reflected once, by band, from what the patches
// send: beams make spots that are smaller than elements, and only after one reflection
// is light smooth enough for the coarse grid. What element i gets from patch p is, by
// reciprocity,
//
//	E1(i) = 1/A(i) · sum over p of A(p) F(p,i) · ρ(p) D(p)
//
// The sum over the patches of one finish is the same in all bands but for its ρ, so that each is made
// once. It is a product of matrices, large enough to be done in float32; conserved puts its
// rounding right.
func (s *solving) once(of [][]int) []*mat.Dense {
	got, power := make([]blas32.General, len(of)), make([][]float64, len(of))
	for band, bundles := range of {
		got[band], power[band] = general(len(s.elements), len(bundles)), make([]float64, len(bundles))
	}
	for f, panels := range s.byFinish() {
		if len(panels) == 0 {
			continue
		}
		arrived, sent := s.fromFinish(panels)
		for band, bundles := range of {
			rho := s.t.means[f][band]
			addColumns(got[band], arrived, bundles, float32(rho))
			for c, i := range bundles {
				power[band][c] += rho * sent[i]
			}
		}
	}
	out := make([]*mat.Dense, len(of))
	for band := range of {
		if len(of[band]) > 0 {
			out[band] = s.conserved(got[band], power[band])
		}
	}
	return out
}

// addColumns adds factor times some columns of b.
func addColumns(a, b blas32.General, columns []int, factor float32) {
	for r := range a.Rows {
		row, from := a.Data[r*a.Stride:], b.Data[r*b.Stride:]
		for c, i := range columns {
			row[c] += factor * from[i]
		}
	}
}

// byFinish lists the panels that send light, by finish.
func (s *solving) byFinish() [][]*Panel {
	out := make([][]*Panel, len(s.t.finishes))
	for i := range s.shell.panels {
		if p := &s.shell.panels[i]; !p.loose {
			out[p.finish] = append(out[p.finish], p)
		}
	}
	return out
}

// fromFinish is what arrives at the elements of the direct light on panels, by bundle, and what is
// sent, if they reflected all.
func (s *solving) fromFinish(panels []*Panel) (arrived blas32.General, sent []float64) {
	n, bundles := len(s.elements), len(s.t.bundles)
	arrived, sent = general(n, bundles), make([]float64, bundles)
	if bundles == 0 {
		return arrived, sent // of a rig without lamps
	}
	for _, p := range panels {
		count := p.Cols * p.Rows
		leaving := general(count, bundles)
		for k := range count {
			area := s.t.Places[p.First+k].Area
			for i, v := range s.t.direct[p.First+k] {
				w := area * float64(v)
				leaving.Data[k*leaving.Stride+i] = float32(w)
				sent[i] += w
			}
		}
		share := blas32.General{Rows: count, Cols: n, Stride: n, Data: s.gathered.share[p.First*n : (p.First+count)*n]}
		blas32.Gemm(blas.Trans, blas.NoTrans, 1, share, leaving, 1, arrived)
	}
	return arrived, sent
}

// bundlesIn lists, by band, the bundles that have light in it.
func (t *Transport) bundlesIn() [][]int {
	out := make([][]int, len(t.nodes.at))
	for i := range t.bundles {
		for band := t.bundles[i].from; band < t.bundles[i].until; band++ {
			out[band] = append(out[band], i)
		}
	}
	return out
}

// conserved turns the power that arrives into irradiance, and scales each column so that
// all that was sent arrives.
func (s *solving) conserved(got blas32.General, power []float64) *mat.Dense {
	out := mat.NewDense(got.Rows, got.Cols, nil)
	arrived := make([]float64, got.Cols)
	for i := range got.Rows {
		if s.elements[i].area == 0 {
			continue
		}
		for c, v := range got.Data[i*got.Stride : (i+1)*got.Stride] {
			arrived[c] += float64(v)
		}
	}
	for i := range got.Rows {
		area := s.elements[i].area
		if area == 0 {
			continue
		}
		row := out.RawRowView(i)
		for c, v := range got.Data[i*got.Stride : (i+1)*got.Stride] {
			if arrived[c] > 0 {
				row[c] = float64(v) / area * power[c] / arrived[c]
			}
		}
	}
	return out
}
