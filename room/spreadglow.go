package room

import (
	"gonum.org/v1/gonum/blas"
	"gonum.org/v1/gonum/blas/blas32"
	"gonum.org/v1/gonum/mat"

	"lampblack/light"
)

// spreadGlow finds the glowing elements and what each sends to all places, straight and by
// way of other surfaces. factors are the view factors between elements.
func (s *solving) spreadGlow(factors []float64) error {
	s.t.glowingElements(s.shell, s.elements)
	g := &s.t.glow
	for f := range s.t.finishes {
		var of []int // glowing elements of the finish
		for j := range g.elements {
			if g.elements[j].finish == f {
				of = append(of, j)
			}
		}
		if len(of) == 0 {
			continue
		}
		exitances, err := s.glowExitances(factors, of, &g.shape[f])
		if err != nil {
			return err
		}
		s.glowArrives(exitances, of, s.glowMeans(&g.shape[f]))
	}
	return nil
}

// glowMeans is, by finish, the mean reflectance for the light of a glow.
func (s *solving) glowMeans(shape *light.Spectrum) []float64 {
	out := make([]float64, len(s.t.finishes))
	for f := range out {
		out[f] = shape.Weighted(&s.t.finishes[f].reflectance)
	}
	return out
}

// glowExitances is what leaves each element, its own glow and what it reflects, for one
// W/m2 of exitance of each of some glowing elements.
func (s *solving) glowExitances(factors []float64, of []int, shape *light.Spectrum) (blas32.General, error) {
	n := len(s.elements)
	means := s.glowMeans(shape)
	reflectances := make([]float64, n)
	straight, once := mat.NewDense(n, len(of), nil), mat.NewDense(n, len(of), nil)
	for i := range n {
		reflectances[i] = means[s.shell.panels[s.elements[i].panel].finish]
		for c, j := range of {
			straight.Set(i, c, factors[i*n+s.t.glow.elements[j].index])
		}
	}
	for i := range n {
		row := once.RawRowView(i)
		for k, f := range factors[i*n : (i+1)*n] {
			for c, v := range straight.RawRowView(k) {
				row[c] += f * reflectances[k] * v
			}
		}
	}
	all, err := bounce(factors, reflectances, once)
	out := general(n, len(of))
	if err != nil {
		return out, err
	}
	for i := range n {
		for c, j := range of {
			v := reflectances[i] * (straight.At(i, c) + all.At(i, c))
			if i == s.t.glow.elements[j].index {
				v++
			}
			out.Data[i*out.Stride+c] = float32(v)
		}
	}
	return out, nil
}

// glowArrives fills in what arrives at all places: the patches gather it from the elements, points
// from the patches.
func (s *solving) glowArrives(exitances blas32.General, of []int, means []float64) {
	t := s.t
	patches := s.shell.patches
	got := general(patches, len(of))
	share := blas32.General{Rows: patches, Cols: len(s.elements), Stride: len(s.elements), Data: s.gathered.share}
	blas32.Gemm(blas.NoTrans, blas.NoTrans, 1, share, exitances, 0, got)
	for i := range t.Places {
		for c, j := range of {
			if i < patches {
				t.glow.to[i][j] = got.Data[i*got.Stride+c]
				continue
			}
			t.glow.to[i][j] = s.glowSeen(j, s.seen[i-patches], means)
		}
	}
}

// glowSeen is what comes to a point of the glow of element j, by what it sees of the patches;
// means is, by finish, the mean reflectance for that glow.
func (s *solving) glowSeen(j int, factors, means []float64) float32 {
	t, sum := s.t, float32(0)
	for place, f := range factors {
		if f != 0 {
			sum += float32(f * means[t.Panels[t.Places[place].Panel].finish] * float64(t.glow.to[place][j]))
		}
	}
	for _, place := range t.glow.elements[j].places {
		sum += float32(factors[place])
	}
	return sum
}

// glowAt is glowSeen for every glowing element.
func (s *solving) glowAt(dst []float32, factors []float64) {
	known := map[int][]float64{}
	for j := range s.t.glow.elements {
		f := s.t.glow.elements[j].finish
		if known[f] == nil {
			known[f] = s.glowMeans(&s.t.glow.shape[f])
		}
		dst[j] = s.glowSeen(j, factors, known[f])
	}
}
