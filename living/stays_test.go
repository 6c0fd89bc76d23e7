package living

import (
	"math"
	"testing"
	"time"
)

// A show looks the same with every build that comes: these values are of the first, and whoever
// changes them changes shows that were made and checked before.
func TestLightStaysWhatItWas(t *testing.T) {
	instants := []time.Duration{0, 12345 * time.Millisecond, 3*time.Hour + 777*time.Millisecond}
	got := map[string][3]float64{}
	weights := make([]float32, 4)
	for i, at := range instants {
		set := func(name string, v float32) {
			x := got[name]
			x[i] = float64(v)
			got[name] = x
		}
		for _, n := range Natural("").Choices() {
			set(n, Natural(n).Level(7, at))
		}
		set("drift", Drift(7, 3*time.Second, at))
		Among(7, 4, 3*time.Second, at, weights)
		set("among", weights[1]+2*weights[2]+3*weights[3])
	}
	for name, want := range map[string][3]float64{
		"among":     {0.953322, 0.183365, 2.351355},
		"candle":    {0.823716, 0.845835, 0.877088},
		"drift":     {0.659814, 0.320021, 0.159241},
		"hearth":    {0.581427, 0.529585, 0.693444},
		"leaves":    {0.556963, 0.617879, 0.524393},
		"storm sky": {0.613663, 0.262466, 0.094458},
		"water":     {0.409965, 0.372337, 0.498404},
	} {
		for i, v := range want {
			if math.Abs(got[name][i]-v) > 2e-6 {
				t.Errorf("%s at %v: %.6f, and was %.6f", name, instants[i], got[name][i], v)
			}
		}
	}
}
