package retake

import "math"

// meetReach is how far from where two runs meet the joint may really be, samples:
// a steady sound goes on agreeing, a little, with the run before.
const meetReach = 6 * rate

// touching is how far apart runs may lie that meet, samples: 5 ms. In a wider gap
// neither was heard, and it stays open.
const touching = 0.005 * rate

// meet moves the joint of runs that follow each other without a gap to where the
// signs before it speak for the one and those behind it for the other.
func (a *aligner) meet(runs []*run) {
	for i := 1; i < len(runs); i++ {
		before, after := runs[i-1], runs[i]
		if !before.exact || !after.exact || after.from-before.to > touching || before.sameLine(after, after.from) {
			continue
		}
		lo := math.Max(before.from+leastPiece, before.to-meetReach)
		hi := math.Min(after.to-leastPiece, after.from+meetReach)
		if lo >= hi {
			continue
		}
		if joint, better := a.joint(before, after, lo, hi); better {
			before.to, after.from = joint, joint
		}
	}
}

// jointGain is by how many signs a joint must be better than the one there is, and
// jointChance how many standard deviations more, since in noise the difference
// strays by the root of the distance.
const (
	jointGain   = 60
	jointChance = 4
)

// joint returns the place between lo and hi where it is best to go over from one
// run to the other, and whether that is better than where they go over now.
func (a *aligner) joint(before, after *run, lo, hi float64) (at float64, better bool) {
	const chunk = 64
	now := before.to
	sum, top, atNow := 0, 0, 0
	best := lo
	var buf [1]uint64
	for at := lo; at+chunk <= hi; at += chunk {
		notBefore := a.differ(buf[:0], before, at, chunk)
		notAfter := a.differ(buf[:0], after, at, chunk)
		for bit := range chunk {
			sum += int(notAfter>>bit&1) - int(notBefore>>bit&1)
			if sum > top {
				top, best = sum, at+float64(bit+1)
			}
			if at+float64(bit) < now {
				atNow = sum
			}
		}
	}
	return best, float64(top-atNow) >= jointGain+jointChance*math.Sqrt(math.Abs(best-now))
}
