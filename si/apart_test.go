package si_test

import (
	"testing"

	"lampblack/si"
)

// Boxes whose diagonal is a whole number, from memory: 1, 2, 2 and 3; 2, 3, 6 and 7.
func TestApart(t *testing.T) {
	for _, c := range []struct {
		a, b [3]si.Length
		want si.Length
	}{{[3]si.Length{}, [3]si.Length{1, 2, 2}, 3}, {[3]si.Length{1, 1, 1}, [3]si.Length{-1, 4, 7}, 7}, {[3]si.Length{4, 4, 4}, [3]si.Length{4, 4, 4}, 0}} {
		if got := si.Apart(c.a, c.b); got < c.want-1e-12 || got > c.want+1e-12 {
			t.Errorf("%v and %v are %v apart, want %v", c.a, c.b, got, c.want)
		}
	}
}
