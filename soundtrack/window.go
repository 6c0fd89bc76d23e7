package soundtrack

import "math"

// hann returns a Hann window of the given length in the middle of n samples,
// scaled so that a full-scale sine has a spectral peak of power 1.
func hann(n, length int) []float32 {
	w := make([]float32, n)
	from := (n - length) / 2
	for i := range length {
		c := 0.5 - 0.5*math.Cos(2*math.Pi*(float64(i)+0.5)/float64(length))
		w[from+i] = float32(c * 4 / float64(length))
	}
	return w
}
