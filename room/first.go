package room

import (
	"context"

	"gonum.org/v1/gonum/blas"
	"gonum.org/v1/gonum/blas/blas32"
	"gonum.org/v1/gonum/mat"
)

// firstBounce turns direct light on patches into reflected light on elements.
// Beams make spots that are smaller than elements; only after one reflection
// is light smooth enough for the coarse grid. The view factors are those
// between elements, shared out over the patches of the sender by what the
// receiver's middle sees of each. A row for each element, a column
// for each patch.
func (s *solving) firstBounce(ctx context.Context, factors []float64) []float32 {
	n := len(s.elements)
	patches := s.shell.patches
	out := make([]float32, n*patches)
	spread(ctx, n, func(i int) {
		var near blockers
		from, ok := s.elements[i].middle()
		if !ok {
			return
		}
		for j, f := range factors[i*n : (i+1)*n] {
			if f > 0 {
				s.shareOut(out[i*patches:(i+1)*patches], f, from, s.elements[i].n, j, &near)
			}
		}
	})
	return out
}

// middle is a bare point of the element: its middle, or else near a corner; ok is
// false when nothing of it is bare.
func (e *element) middle() (vec, bool) {
	all, some := true, -1
	for i := range e.points {
		if e.points[i].open {
			some = i
		} else {
			all = false
		}
	}
	switch {
	case all:
		return e.at(.5, .5), true
	case some >= 0:
		return e.points[some].at, true
	}
	return vec{}, false
}

// shareOut gives the patches of element j their shares of the factor f. A patch weighs
// cos·cos·area/d² if the receiver's middle sees it; each of the two dot products is a
// cosine times d, hence the fourth power. When it sees none of them though the elements
// see each other, the shares go by area: the factor is right, and where in the element it
// falls matters little.
func (s *solving) shareOut(row []float32, f float64, from, n vec, j int, near *blockers) {
	e := &s.elements[j]
	low, high := bound(from, e.edges[0], e.edges[1], e.edges[2], e.edges[3])
	s.shell.block.within(low, high, near)
	sum, bare := 0.0, 0.0
	s.eachPlace(j, func(place int) {
		area := s.t.Places[place].Area
		bare += area
		if area == 0 {
			return
		}
		at := s.receivers[place].at
		d := at.minus(from)
		square := d.dot(d)
		w := d.dot(n) * -d.dot(e.n)
		if w <= 0 || d.dot(n) <= 0 || !near.empty() && !near.clear(from, at) {
			return
		}
		w *= area / (square * square)
		row[place] = float32(w)
		sum += w
	})
	s.eachPlace(j, func(place int) {
		if sum > 0 {
			row[place] *= float32(f / sum)
		} else {
			row[place] = float32(f * s.t.Places[place].Area / bare)
		}
	})
}

// once applies the first bounce to the direct light of some drives, all of one
// light with these mean reflectances by finish, and keeps the energy exact. It is one
// product of matrices, elements by patches times patches by drives, large enough to be
// done in float32; conserved puts its rounding right.
func (s *solving) once(first []float32, drives []int, light int) *mat.Dense {
	patches, n := s.shell.patches, len(s.elements)
	sent := blas32.General{Rows: patches, Cols: len(drives), Stride: len(drives), Data: make([]float32, patches*len(drives))}
	power := make([]float64, len(drives))
	for p := range patches {
		mean := s.t.means[s.t.Panels[s.t.Places[p].Panel].finish][light]
		row := sent.Data[p*len(drives) : (p+1)*len(drives)]
		for c, d := range drives {
			v := mean * float64(s.t.Direct[p][d])
			row[c] = float32(v)
			power[c] += v * s.t.Places[p].Area
		}
	}
	got := blas32.General{Rows: n, Cols: len(drives), Stride: len(drives), Data: make([]float32, n*len(drives))}
	weights := blas32.General{Rows: n, Cols: patches, Stride: patches, Data: first}
	blas32.Gemm(blas.NoTrans, blas.NoTrans, 1, weights, sent, 0, got)
	return s.conserved(got, power)
}

// conserved scales each column so that the power that arrives is the power
// that was sent.
func (s *solving) conserved(got blas32.General, power []float64) *mat.Dense {
	out := mat.NewDense(got.Rows, got.Cols, nil)
	arrived := make([]float64, got.Cols)
	for i := range got.Rows {
		for c, v := range got.Data[i*got.Stride : i*got.Stride+got.Cols] {
			arrived[c] += float64(v) * s.elements[i].area
		}
	}
	for i := range got.Rows {
		row := out.RawRowView(i)
		for c, v := range got.Data[i*got.Stride : i*got.Stride+got.Cols] {
			if arrived[c] > 0 {
				row[c] = float64(v) * power[c] / arrived[c]
			}
		}
	}
	return out
}
