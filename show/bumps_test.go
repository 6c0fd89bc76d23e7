package show

import (
	"math/rand/v2"
	"slices"
	"testing"
	"time"
)

// The index finds, in order, exactly the bumps that have begun and not ended,
// as looking at all of them does.
func TestBumpIndex(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 1))
	for _, n := range []int{0, 1, 2, 3, 5, 8, 9, 100} {
		for range 30 {
			bumps := make([]bump, n)
			for i := range bumps {
				bumps[i] = bump{start: time.Duration(r.IntN(1000)), up: time.Duration(r.IntN(20)), hold: time.Duration(r.IntN(20)), returns: time.Duration(r.IntN(40))}
				if r.IntN(20) == 0 {
					bumps[i].hold = 2000
				}
			}
			slices.SortStableFunc(bumps, func(a, b bump) int { return int(a.start - b.start) })
			x := newBumpIndex(bumps)
			for range 40 {
				at := time.Duration(r.IntN(1200) - 50)
				var got, want []int
				for i := x.next(0, at); i < n && bumps[i].start <= at; i = x.next(i+1, at) {
					got = append(got, i)
				}
				for i := range bumps {
					if bumps[i].start <= at && at <= bumps[i].start+bumps[i].up+bumps[i].hold+bumps[i].returns {
						want = append(want, i)
					}
				}
				if !slices.Equal(got, want) {
					t.Fatalf("of %d bumps at %d: %v, want %v", n, at, got, want)
				}
			}
		}
	}
}
