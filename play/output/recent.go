package output

import "time"

// Recent tells how many of something there were in the last ten seconds, and whether that
// is worth a word. The zero value is ready; it belongs to one goroutine.
type Recent struct {
	before [10]uint64 // the sum at the end of each of the last seconds
	begun  time.Time  // seconds are counted from here, so that a clock that is set changes none
	second int64
	last   uint64 // the sum when it was asked last
	much   bool
}

// More than tellAt of the 440 frames of ten seconds are worth a word, and it is over at
// calmAt, so that what comes and goes is told once. Common practice, no source.
const (
	tellAt = 10
	calmAt = 2
)

// Of takes in the sum since the beginning, and returns how many of it came in the last ten
// seconds, and whether those are many.
func (r *Recent) Of(now time.Time, sum uint64) (count uint64, much bool) {
	n := int64(len(r.before))
	second := int64(now.Sub(r.begun) / time.Second)
	switch {
	case r.begun.IsZero() || second < r.second:
		r.begun, r.second, second = now, 0, 0
		r.fill(sum)
	case second-r.second > n: // nothing went for long: what came meanwhile came just now
		r.fill(r.last)
		r.second = second
	}
	for ; r.second < second; r.second++ {
		r.before[r.second%n] = r.last
	}
	r.last = sum
	count = sum - r.before[second%n]
	r.much = count > tellAt || r.much && count > calmAt
	return count, r.much
}

// fill has all of the last seconds end with a sum.
func (r *Recent) fill(sum uint64) {
	for i := range r.before {
		r.before[i] = sum
	}
}

// Forget leaves out what came until now.
func (r *Recent) Forget() { *r = Recent{} }
