package soundtrack

import (
	"math"
	"math/rand/v2"
	"strconv"
	"testing"

	"gonum.org/v1/gonum/dsp/fourier"
)

func noise(n int, seed uint64) []float32 {
	r := rand.New(rand.NewPCG(seed, 1))
	x := make([]float32, n)
	for i := range x {
		x[i] = float32(2*r.Float64() - 1)
	}
	return x
}

// The oracle is gonum's float64 transform (dsp/fourier), an independent
// implementation.
func TestPowerAgreesWithGonum(t *testing.T) {
	for _, n := range []int{64, 128, 256, 512, 1024, 2048, 4096} {
		x, w := noise(n, uint64(n)), hann(n, n)
		got := newTransform(n).power(make([]float32, n/2+1), x, w)
		y := make([]float64, n)
		for i := range y {
			y[i] = float64(x[i]) * float64(w[i])
		}
		want := fourier.NewFFT(n).Coefficients(nil, y)
		peak := 0.0
		for _, c := range want {
			peak = max(peak, real(c)*real(c)+imag(c)*imag(c))
		}
		for k, c := range want {
			p := real(c)*real(c) + imag(c)*imag(c)
			if math.Abs(float64(got[k])-p) > 2e-6*peak {
				t.Fatalf("n %d bin %d: power %g, gonum has %g", n, k, got[k], p)
			}
		}
	}
}

// The vector code gives the bits that the plain code gives.
func TestVectorsAgreeWithPlainCode(t *testing.T) {
	if !vectors {
		t.Skip("left out: no vector code on this system")
	}
	for _, n := range []int{64, 128, 256, 512, 1024, 2048, 4096, 8192} {
		f, plain := newTransform(n), newTransform(n)
		plain.plain = true
		x, w := noise(n, uint64(n)+7), hann(n, n)
		got, want := f.power(make([]float32, n/2+1), x, w), plain.power(make([]float32, n/2+1), x, w)
		for k := range got {
			if got[k] != want[k] {
				t.Fatalf("n %d bin %d: %g, plain code %g", n, k, got[k], want[k])
			}
		}
	}
}

func BenchmarkPowerSpectrum(b *testing.B) {
	for _, n := range []int{1024, 2048} {
		b.Run(strconv.Itoa(n), func(b *testing.B) {
			f, x, w, dst := newTransform(n), noise(n, 1), hann(n, n), make([]float32, n/2+1)
			for b.Loop() {
				f.power(dst, x, w)
			}
		})
	}
}
