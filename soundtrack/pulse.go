package soundtrack

import "math"

// Weights of what makes a beat, and the curve that turns their sum into a
// probability: fitted by random search on truth.Grooves and truth.Tuned.
const (
	lowWeight, midWeight, highWeight = 0.8, 2.3, 2.4
	loudWeight                       = 1.0
	beatOffset, beatSlope            = 2.95, 1.13
)

// pulse is how likely a beat is at each step of 20 ms, from the spectrum's
// rises: low, mid and high, and the loudness's, each measured against its own
// surroundings, so that a quiet passage counts as a loud one does.
func pulse(h *heard) []float32 {
	n := len(h.Flux[0])
	sum := make([]float32, n)
	for r, weight := range [3]float32{lowWeight, midWeight, highWeight} {
		addStandard(sum, h.Flux[r], weight)
	}
	addStandard(sum, swellings(h.Power), loudWeight)
	out := make([]float32, (n+1)/2)
	for k := range out {
		// The rise leads its attack by 8 ms: frame i-1 is read for i, and its
		// neighbours for players who are not together.
		i := 2 * k
		v := 0.2*at(sum, i-3) + 0.4*at(sum, i-2) + 0.6*at(sum, i-1) + 0.6*at(sum, i) + 0.2*at(sum, i+1)
		out[k] = float32(1 / (1 + math.Exp(beatOffset-beatSlope*float64(v))))
	}
	return out
}

// swellings is the rise of amplitude within 30 ms.
func swellings(power []float32) []float32 {
	out := make([]float32, len(power))
	for i := range power {
		d := math.Sqrt(float64(at(power, i+2))) - math.Sqrt(float64(at(power, i-1)))
		out[i] = float32(math.Sqrt(max(0, d)))
	}
	return out
}

func at(x []float32, i int) float32 {
	if i < 0 || i >= len(x) {
		return 0
	}
	return x[i]
}

// around is half the stretch, in frames, against which a rise is measured.
const around = 3 * blockRate

// addStandard adds weight·(x - mean)/deviation, mean and deviation taken over
// the surroundings. A deviation below that of a bare noise floor counts as
// that, or hiss would drum.
func addStandard(dst, x []float32, weight float32) {
	const bare = 0.03
	sums := prefix(x)
	squares := make([]float32, len(x))
	for i, v := range x {
		squares[i] = v * v
	}
	power := prefix(squares)
	for i := range dst {
		a, b := max(i-around, 0), min(i+around+1, len(x))
		n := float64(b - a)
		mean := (sums[b] - sums[a]) / n
		deviation := math.Sqrt(max((power[b]-power[a])/n-mean*mean, 0)) + bare
		dst[i] += weight * float32((float64(x[i])-mean)/deviation)
	}
}
