package show

import (
	"math/bits"
	"time"
)

// bumpIndex finds the bumps that are there at an instant among many, whatever
// their lengths: a tree over the bumps by start that keeps the latest end below
// each node, so that subtrees that are over are passed by. Finding k bumps
// among n takes k·log n steps; a search from the longest bump's length back
// would take n as soon as one bump is long.
type bumpIndex struct {
	bumps []bump // by start
	last  []time.Duration
	first int // index of the leaves
}

// ends is when nothing is left of the bump.
func (b *bump) ends() time.Duration { return b.start + b.up + b.hold + b.returns }

// newBumpIndex makes the tree.
func newBumpIndex(bumps []bump) bumpIndex {
	x := bumpIndex{bumps: bumps}
	if len(bumps) == 0 {
		return x
	}
	x.first = 1 << bits.Len(uint(len(bumps)-1))
	x.last = make([]time.Duration, 2*x.first)
	for i := range x.last {
		x.last[i] = -1 << 62
	}
	for i := range bumps {
		x.last[x.first+i] = bumps[i].ends()
	}
	for i := x.first - 1; i > 0; i-- {
		x.last[i] = max(x.last[2*i], x.last[2*i+1])
	}
	return x
}

// next returns the first bump from index i on that has not ended at t, or the
// number of bumps. It does not look at starts.
func (x *bumpIndex) next(i int, t time.Duration) int {
	if i >= len(x.bumps) {
		return len(x.bumps)
	}
	n := x.first + i
	for x.last[n] < t { // to the right, up as far as need be
		for n&1 == 1 {
			n >>= 1
		}
		if n == 0 {
			return len(x.bumps)
		}
		n++
	}
	for n < x.first {
		n *= 2
		if x.last[n] < t {
			n++
		}
	}
	return n - x.first
}
