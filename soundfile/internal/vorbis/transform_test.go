package vorbis

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"
)

// TestTransform compares with the definition (Vorbis I, section 4.3.7, refers to
// T. Sporer, K. Brandenburg and B. Edler, "The use of multirate filter banks for
// coding of high quality digital audio", 1992).
func TestTransform(t *testing.T) {
	for n := 64; n <= 8192; n *= 2 {
		t.Run(fmt.Sprint(n), func(t *testing.T) {
			rng := rand.New(rand.NewPCG(uint64(n), 0))
			lines := make([]float32, n/2)
			for i := range lines {
				lines[i] = rng.Float32() - 0.5
			}
			got := make([]float32, n)
			newTransform(n).run(lines, got)
			for i := 0; i < n; i += max(1, n/256) {
				want := 0.0
				for k, x := range lines {
					want += float64(x) * math.Cos(math.Pi/float64(2*n)*float64(2*i+1+n/2)*float64(2*k+1))
				}
				if math.Abs(float64(got[i])-want) > 1e-5*math.Sqrt(float64(n)) {
					t.Fatalf("sample %d is %v: want %v", i, got[i], want)
				}
			}
		})
	}
}
