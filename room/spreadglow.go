package room

import (
	"gonum.org/v1/gonum/blas/blas32"
	"gonum.org/v1/gonum/mat"
)

// glowIn finds what the glowing elements send to all patches in one band, straight and by
// way of other surfaces. factors are the view factors between elements.
func (s *solving) glowIn(band int, b *bouncer, factors []float64) error {
	g := &s.t.glow
	var of []int // columns of glow
	for c := range g.columns {
		if g.columns[c].band == band {
			of = append(of, c)
		}
	}
	if len(of) == 0 {
		return nil
	}
	exitances, err := s.glowExitances(factors, of, band, b)
	if err != nil {
		return err
	}
	got := s.fromElements(exitances)
	for p := range s.shell.patches {
		for c, j := range of {
			g.to[p][j] = got.Data[p*got.Stride+c]
		}
	}
	return nil
}

// glowExitances is what leaves each element, its own glow and what it reflects, for one
// W/m2 of exitance of each of some glowing elements.
func (s *solving) glowExitances(factors []float64, of []int, band int, b *bouncer) (blas32.General, error) {
	n, g := len(s.elements), &s.t.glow
	reflectances := s.reflectances(band)
	straight, once := mat.NewDense(n, len(of), nil), mat.NewDense(n, len(of), nil)
	for i := range n {
		for c, j := range of {
			straight.Set(i, c, factors[i*n+g.elements[g.columns[j].element].index])
		}
	}
	once.Mul(b.next, straight)
	all, err := b.all(once)
	out := general(n, len(of))
	if err != nil {
		return out, err
	}
	for i := range n {
		for c, j := range of {
			v := reflectances[i] * (straight.At(i, c) + all.At(i, c))
			if i == g.elements[g.columns[j].element].index {
				v++
			}
			out.Data[i*out.Stride+c] = float32(v)
		}
	}
	return out, nil
}

// glowAt is what comes to a point of all glow, by column, by what it sees of the patches.
func (s *solving) glowAt(dst []float32, factors []float64) {
	t := s.t
	sums := make([]float64, len(t.glow.columns))
	for place, f := range factors {
		if f == 0 {
			continue
		}
		means := t.means[t.Panels[t.Places[place].Panel].finish]
		for c, v := range t.glow.to[place] {
			sums[c] += f * means[t.glow.columns[c].band] * float64(v)
		}
	}
	for c := range sums {
		for _, place := range t.glow.elements[t.glow.columns[c].element].places {
			sums[c] += factors[place]
		}
		dst[c] = float32(sums[c])
	}
}
