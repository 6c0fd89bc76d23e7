package soundtrack

// Weights of what makes a beat in sound as it comes, and the curve that turns their sum into a
// probability: fitted by random search on truth.Grooves and truth.Tuned.
const (
	lowWeight, midWeight, highWeight = 0.8, 2.3, 2.4
	loudWeight                       = 1.0
	beatOffset, beatSlope            = 2.95, 1.13
)

func at(x []float32, i int) float32 {
	if i < 0 || i >= len(x) {
		return 0
	}
	return x[i]
}
