package output

import "time"

// Recent tells how many of something there were in the last ten seconds, and whether that
// is worth a word. The zero value is ready; it belongs to one goroutine.
type Recent struct {
	before [10]uint64 // the sum at the end of each of the last seconds
	second int64
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
	second := now.Unix()
	if r.second == 0 || second-r.second > n || second < r.second { // it began, nothing went for long, or clocks were set
		from := sum
		if r.second != 0 && second > r.second {
			from = r.before[r.second%n] // what came meanwhile came just now
		}
		r.second = second
		for i := range r.before {
			r.before[i] = from
		}
	}
	for ; r.second < second; r.second++ {
		r.before[r.second%n] = sum
	}
	count = sum - r.before[second%n]
	r.much = count > tellAt || r.much && count > calmAt
	return count, r.much
}

// Forget leaves out what came until now.
func (r *Recent) Forget() { *r = Recent{} }
