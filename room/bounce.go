package room

import (
	"fmt"

	"gonum.org/v1/gonum/mat"
)

// bounce solves the inter-reflection for one kind of light: factors[i][j] is
// the view factor from element i to j, reflectance that of each element for
// this light, and direct holds a row for each element and a column for each
// right-hand side. It returns the irradiance by reflected light alone.
//
//	E = E0 + F R E   ⇒   (1 - F R) E = E0,   reflected = E - E0
func bounce(factors []float64, reflectance []float64, direct *mat.Dense) (*mat.Dense, error) {
	n := len(reflectance)
	a := mat.NewDense(n, n, nil)
	for i := range n {
		row := a.RawRowView(i)
		for j, f := range factors[i*n : (i+1)*n] {
			row[j] = -f * reflectance[j]
		}
		row[i]++
	}
	var lu mat.LU
	lu.Factorize(a)
	var e mat.Dense
	if err := lu.SolveTo(&e, false, direct); err != nil {
		return nil, fmt.Errorf("inter-reflection: %w", err)
	}
	e.Sub(&e, direct)
	return &e, nil
}
