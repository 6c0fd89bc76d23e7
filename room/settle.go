package room

import (
	"gonum.org/v1/gonum/blas"
	"gonum.org/v1/gonum/blas/blas32"
)

// settled is how often slots are gone over again.
const settled = 3

// settle goes over narrow slots again. Light falls off in them within less than an element, which in
// one reflection after the other carries it too deep: so their elements send what their patches have
// gathered, and these gather once more. got is what all patches have gathered so far.
func (s *solving) settle(got, sent, exitances blas32.General, band int) {
	var slots []*Panel
	for i := range s.shell.panels {
		if p := &s.shell.panels[i]; p.gap > 0 && !p.loose {
			slots = append(slots, p)
		}
	}
	g := s.gathered
	for range settled {
		for _, p := range slots {
			s.sendAgain(p, got, sent, exitances, band)
		}
		again := make([]blas32.General, len(slots))
		for i, p := range slots {
			count := p.Cols * p.Rows
			again[i] = general(count, got.Cols)
			share := blas32.General{Rows: count, Cols: g.elements, Stride: g.elements, Data: g.share[p.First*g.elements : (p.First+count)*g.elements]}
			blas32.Gemm(blas.NoTrans, blas.NoTrans, 1, share, exitances, 0, again[i])
			for k := range count {
				s.nearOf(again[i].Data[k*got.Cols:(k+1)*got.Cols], p.First+k, got, sent, band)
			}
		}
		for i, p := range slots {
			for k, v := range again[i].Data {
				got.Data[p.First*got.Stride+k] = max(0, v)
			}
		}
	}
}

// sendAgain sets the exitances of a panel's elements to what its patches send.
func (s *solving) sendAgain(p *Panel, got, sent, exitances blas32.General, band int) {
	mean := float32(s.t.means[p.finish][band])
	for e := range p.elemCols * p.elemRows {
		element := p.elem + e
		area := s.elements[element].area
		if area == 0 {
			continue
		}
		row := exitances.Data[element*exitances.Stride : (element+1)*exitances.Stride]
		clear(row)
		s.eachPlace(element, func(place int) {
			share := float32(s.t.Places[place].Area / area)
			from := place * got.Stride
			for c := range row {
				row[c] += share * (sent.Data[from+c] + mean*got.Data[from+c])
			}
		})
	}
}

// nearOf adds to row what a patch gathers of spots near it, by what these have gathered.
func (s *solving) nearOf(row []float32, place int, got, sent blas32.General, band int) {
	for _, spot := range s.gathered.near[place] {
		q := int(spot.place) * got.Stride
		mean := s.t.reflectanceOf(int(spot.place), band)
		for c := range row {
			row[c] += spot.more * (sent.Data[q+c] + mean*got.Data[q+c])
		}
	}
}

// level scales each column of what the patches gather so that all that leaves the elements arrives:
// each patch looks for itself, and what two see of each other need not be alike.
func (s *solving) level(got, exitances blas32.General) {
	arrives, leaves := make([]float64, got.Cols), make([]float64, got.Cols)
	for p := range got.Rows {
		addRow(arrives, got.Data[p*got.Stride:(p+1)*got.Stride], s.t.Places[p].Area)
	}
	for e := range exitances.Rows {
		addRow(leaves, exitances.Data[e*exitances.Stride:(e+1)*exitances.Stride], s.elements[e].area)
	}
	factors := make([]float32, got.Cols)
	for c, v := range arrives {
		if v > 0 {
			factors[c] = float32(leaves[c] / v)
		}
	}
	for p := range got.Rows {
		for c, f := range factors {
			got.Data[p*got.Stride+c] *= f
		}
	}
}

func addRow(sums []float64, row []float32, factor float64) {
	if factor == 0 {
		return
	}
	for c, v := range row {
		sums[c] += factor * float64(v)
	}
}
