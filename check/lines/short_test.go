package lines

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"lampblack/si"
)

// The tree is as long as the points are apart where they lie in a row, and never longer than the shortest of all
// chains through them, tried one by one, nor shorter than half of it: from memory, of minimum spanning trees.
func TestJoined(t *testing.T) {
	if got := joined([][3]si.Length{{0, 0, 3}, {7, 0, 3}, {2, 0, 3}}); math.Abs(got-7) > 1e-9 {
		t.Errorf("three in a row of 7 m are joined by %v m", got)
	}
	rapid.Check(t, func(t *rapid.T) {
		at := make([][3]si.Length, rapid.IntRange(1, 6).Draw(t, "points"))
		for i := range at {
			for k := range at[i] {
				at[i][k] = si.Length(rapid.Float64Range(0, 9).Draw(t, "m"))
			}
		}
		least, got := chain(at, 0), joined(at)
		if got > least+1e-9 || got < least/2-1e-9 {
			t.Fatalf("joined by %v m, and the shortest chain has %v m", got, least)
		}
	})
}

// chain is the shortest way through all points, the first from of which are in their places.
func chain(at [][3]si.Length, from int) float64 {
	if from == len(at) {
		sum := 0.0
		for i := 1; i < len(at); i++ {
			sum += float64(si.Apart(at[i-1], at[i]))
		}
		return sum
	}
	least := math.Inf(1)
	for i := from; i < len(at); i++ {
		at[from], at[i] = at[i], at[from]
		least = min(least, chain(at, from+1))
		at[from], at[i] = at[i], at[from]
	}
	return least
}
