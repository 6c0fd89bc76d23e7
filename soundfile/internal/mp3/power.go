package mp3

import "math"

// Exponents of two, in quarters, that gains can reach: global_gain 0 to 255 less
// 210, mid/side 2, subblock gain 56, scale factors 4*(15+3).
const (
	minQuarter = -210 - 2 - 56 - 4*18
	maxQuarter = 255 - 210
)

var quarterPowers = func() (t [maxQuarter - minQuarter + 1]float32) {
	for i := range t {
		t[i] = float32(math.Exp2(float64(i+minQuarter) / 4))
	}
	return t
}()

// quarterPower returns 2^(e/4).
func quarterPower(e int) float32 { return quarterPowers[e-minQuarter] }

// maxValue is the largest quantised value: 15 and 13 bits of more.
const maxValue = 15 + 1<<13 - 1

// fourThirds holds v^(4/3), the inverse of the encoder's power law (2.4.3.4.7.1): large
// values are quantised more coarsely, as the ear allows.
var fourThirds = func() (t [maxValue + 1]float32) {
	for i := range t {
		t[i] = float32(math.Pow(float64(i), 4.0/3))
	}
	return t
}()
