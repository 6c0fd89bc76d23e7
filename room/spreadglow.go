package room

import "gonum.org/v1/gonum/blas/blas32"

// glowIn finds what the glowing elements send to all patches in one band, straight and by
// way of other surfaces: as light of lamps goes on that their patches have scattered, 1 W/m2 from each.
func (s *solving) glowIn(band int, b *bouncer) error {
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
	sent, arrived, power := s.glowSent(of)
	all, err := b.all(s.conserved(arrived, power))
	if err != nil {
		return err
	}
	got := s.toPatches(s.exitances(sent, all, band), sent, band)
	for p := range s.shell.patches {
		for c, j := range of {
			g.to[p][j] = got.Data[p*got.Stride+c]
		}
	}
	return nil
}

// glowSent is what the patches of some glowing elements send, W/m2, a column for each element; what of it
// arrives at all elements, W, and how much that is of each.
func (s *solving) glowSent(of []int) (sent, arrived blas32.General, power []float64) {
	g := &s.t.glow
	sent, arrived, power = general(s.shell.patches, len(of)), general(len(s.elements), len(of)), make([]float64, len(of))
	for c, j := range of {
		for _, place := range g.elements[g.columns[j].element].places {
			area := s.t.Places[place].Area
			if area == 0 {
				continue
			}
			sent.Data[place*sent.Stride+c] = 1
			power[c] += area
			for i, share := range s.gathered.row(place) {
				arrived.Data[i*arrived.Stride+c] += share * float32(area)
			}
		}
	}
	return sent, arrived, power
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
