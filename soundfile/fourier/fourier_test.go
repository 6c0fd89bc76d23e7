package fourier

import (
	"math"
	"math/cmplx"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/dsp/fourier"
)

// TestAgainstGonum compares with an independent transform.
func TestAgainstGonum(t *testing.T) {
	for n := 1; n <= 4096; n *= 2 {
		rng := rand.New(rand.NewPCG(uint64(n), 0))
		x := make([]complex64, n)
		wide := make([]complex128, n)
		for i := range x {
			x[i] = complex(rng.Float32()-0.5, rng.Float32()-0.5)
			wide[i] = complex128(x[i])
		}
		want := fourier.NewCmplxFFT(n).Coefficients(nil, wide)
		for i, v := range New(n).Run(x) {
			if e := cmplx.Abs(complex128(v) - want[i]); e > 1e-6*math.Sqrt(float64(n)) {
				t.Fatalf("%d points: X(%d) is %v: want %v", n, i, v, want[i])
			}
		}
	}
}
