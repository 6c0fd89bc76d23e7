package positions

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

// The least sum is that of trying all brightnesses of two units in steps of a hundredth, and no more than it.
func TestSolveAgainstAllTries(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var lines []line
		for range rapid.IntRange(1, 6).Draw(t, "lines") {
			lines = append(lines, line{
				sense:  sense(rapid.IntRange(0, 2).Draw(t, "sense")),
				weight: rapid.SampledFrom([]float64{.3, 10, 1000}).Draw(t, "weight"),
				bound:  rapid.Float64Range(.2, 1.5).Draw(t, "bound"),
				given:  rapid.Float64Range(0, .3).Draw(t, "given"),
				gain:   []float64{rapid.Float64Range(-.5, 2).Draw(t, "a"), rapid.Float64Range(-.5, 2).Draw(t, "b")},
			})
		}
		sum := func(x, y float64) float64 {
			out := leastLight * (x*x + y*y)
			for _, l := range lines {
				o := l.gain[0]*x + l.gain[1]*y + l.given - l.bound
				if l.sense == exactly || l.sense == atLeast && o < 0 || l.sense == atMost && o > 0 {
					out += l.weight * o * o
				}
			}
			return out
		}
		least := math.Inf(1)
		for i := range 101 {
			for k := range 101 {
				least = min(least, sum(float64(i)/100, float64(k)/100))
			}
		}
		x := []float64{rapid.Float64Range(0, 1).Draw(t, "from x"), rapid.Float64Range(0, 1).Draw(t, "from y")}
		got := solve(lines, x, 1)
		if x[0] < 0 || x[1] < 0 || x[0] > 1 || x[1] > 1 {
			t.Fatalf("%v lies outside 0 to 1", x)
		}
		if math.Abs(got-sum(x[0], x[1])) > 1e-9*(1+got) {
			t.Fatalf("%v is told at %v, where it is %v", got, x, sum(x[0], x[1]))
		}
		if got > least*(1+1e-5)+1e-9 { // Newton rests where the slope is small
			t.Fatalf("%v at %v; trying finds %v", got, x, least)
		}
	})
}
