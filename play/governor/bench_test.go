package governor

import (
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"lampblack/check/checktest"
)

// BenchmarkPass is a second of frames for 64 units and 24 eyes: still, a legal beat, and what is
// held. worst-ms is the slowest frame's wall time, of all.
func BenchmarkPass(b *testing.B) {
	s := hall(b, 64, 24)
	for name, wanted := range map[string]func(i, d int) float32{
		"still": func(int, int) float32 { return .5 },
		"beat":  func(i, _ int) float32 { return float32(.2 + .6*math.Exp(-math.Mod(float64(i)/20, 1)*3)) },
		"flashing": func(i, d int) float32 {
			_, x := math.Modf(float64(i)/7 + float64(s.Rig.Drives[d].Unit)/64)
			return float32(math.Round(x))
		},
		"noise": func(int, int) float32 { return rand.Float32() },
	} {
		b.Run(name, func(b *testing.B) {
			g := New(s.Transport, s.Rig, Allowed{})
			levels, rates := make([]float32, len(s.Rig.Drives)), make([]float32, len(s.Rig.Units))
			i, slowest := 0, time.Duration(0)
			before := checktest.Spent()
			for b.Loop() {
				for d := range levels {
					levels[d] = wanted(i, d)
				}
				begun := time.Now()
				g.Pass(time.Duration(i)*25*time.Millisecond, levels, rates, func(int) bool { return false })
				slowest = max(slowest, time.Since(begun))
				i++
			}
			b.ReportMetric(float64((checktest.Spent()-before).Microseconds())/1e3/float64(b.N), "cpu-ms/op")
			b.ReportMetric(slowest.Seconds()*1e3, "worst-ms")
		})
	}
}
