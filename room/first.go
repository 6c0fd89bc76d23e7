package room

import (
	"gonum.org/v1/gonum/blas"
	"gonum.org/v1/gonum/blas/blas32"
	"gonum.org/v1/gonum/mat"
)

// once is the irradiance of the elements by light reflected once, from what the patches
// send: beams make spots that are smaller than elements, and only after one reflection
// is light smooth enough for the coarse grid. What element i gets from patch p is, by
// reciprocity,
//
//	E1(i) = 1/A(i) · sum over p of A(p) F(p,i) · sent(p)
//
// It is one product of matrices, large enough to be done in float32; conserved puts its
// rounding right.
func (s *solving) once(sent blas32.General, drives []int) *mat.Dense {
	patches, n := s.shell.patches, len(s.elements)
	leaving := general(patches, len(drives))
	power := make([]float64, len(drives))
	for p := range patches {
		area := s.t.Places[p].Area
		for c, v := range sent.Data[p*sent.Stride : (p+1)*sent.Stride] {
			w := area * float64(v)
			leaving.Data[p*leaving.Stride+c] = float32(w)
			power[c] += w
		}
	}
	got := general(n, len(drives))
	share := blas32.General{Rows: patches, Cols: n, Stride: n, Data: s.gathered.share}
	blas32.Gemm(blas.Trans, blas.NoTrans, 1, share, leaving, 0, got)
	return s.conserved(got, power)
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
