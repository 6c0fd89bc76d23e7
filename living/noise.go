package living

import (
	"math"
	"time"
)

// wander is where a walk of steps that take every each stands at t, in steps. It runs
// a little fast and a little slow by turns, ahead and behind by 1.2 steps at most as seldom
// as that comes, so that nothing keeps step with a beat; it never stops and never turns.
func wander(seed uint64, every, t time.Duration) (whole int64, place float64) {
	x := float64(t) / float64(max(every, time.Millisecond))
	// Three pulses at most add their slopes, 1.72 at most each (|k'| at u = 1/√5), over cells
	// of eight steps: the pace stays from 0.2 to 1.8.
	sway := lobe{rate: 1. / 8, size: 1.2}
	x += sway.at(seed, x)
	floor := math.Floor(x)
	return int64(floor), x - floor
}

// spline is the four weights of a uniform cubic B-spline at a place from 0 to 1: none
// negative, 1 together; value, slope and bend are continuous.
func spline(u float64) [4]float64 {
	uu := float64(u * u)
	uuu := float64(uu * u)
	v := 1 - u
	first, last := float64(v*v*v)/6, uuu/6
	second := (4 - float64(6*uu) + float64(3*uuu)) / 6
	return [4]float64{first, second, 1 - first - second - last, last}
}

// Drift wanders slowly from 0 to 1 and back: it goes towards a value drawn by lot, and
// after some while, every on average, towards the next. It moves by no more than 2.7/every a second
// (every in seconds), and turns without a corner. Every is at least a millisecond.
func Drift(seed uint64, every, t time.Duration) float32 {
	z := mixed(seed ^ 0x6472696674)
	// Each value is the goal of two steps of the spline, or it would come only half the way.
	i, u := wander(z, every/2, t)
	sum := 0.0
	for d, w := range spline(u) {
		sum += float64(w * share(mixed(z+uint64((i+int64(d))>>1)*step)))
	}
	return float32(min(max(sum, 0), 1))
}

// MostPoints is how many points Among can wander among.
const MostPoints = 6

// Among writes into dst the weights of n points, none negative, 1 together: a walk from near
// one of them (a weight of 0.95 at least) to near another, every to each. Of n points in a
// row each is visited once, in an order drawn by lot, and none twice in succession. dst holds n weights;
// n is 1 to MostPoints.
func Among(seed uint64, n int, every, t time.Duration, dst []float32) {
	if n < 1 || n > MostPoints || len(dst) < n {
		panic("living: Among takes 1 to 6 points and as many weights")
	}
	z := mixed(seed ^ 0x616d6f6e67)
	i, u := wander(z, every/2, t)
	var sum [MostPoints]float64
	for d, w := range spline(u) {
		sum[visit(z, n, (i+int64(d))>>1)] += w
	}
	for k := range n {
		dst[k] = float32(sum[k])
	}
}

// visit is the point that goal i is. Goals go in rounds of n, each a shuffle of
// the points; one that would begin where the round before it ended has its first two changed over.
func visit(seed uint64, n int, i int64) int {
	if n <= 2 {
		return int(i+int64(seed>>63)) & (n - 1)
	}
	round := int64(math.Floor(float64(i) / float64(n)))
	order, before := shuffled(seed, n, round), shuffled(seed, n, round-1)
	if order[0] == before[n-1] {
		order[0], order[1] = order[1], order[0]
	}
	return int(order[i-round*int64(n)])
}

// shuffled is 0 to n-1 in an order drawn by lot (Fisher and Yates).
func shuffled(seed uint64, n int, round int64) (order [MostPoints]uint8) {
	z := mixed(seed + uint64(round)*step)
	for i := range n {
		order[i] = uint8(i)
	}
	for i := n - 1; i > 0; i-- {
		k := z % uint64(i+1)
		z /= uint64(i + 1)
		order[i], order[k] = order[k], order[i]
	}
	return order
}
