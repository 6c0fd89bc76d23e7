package truth

import (
	"math"
	"slices"
	"time"
)

// Score says how well found times agree with true ones.
type Score struct {
	True, Found, Hit int
	Median           time.Duration // of found minus true, over the hits
}

// Precision is the share of found times that are true.
func (s Score) Precision() float64 { return ratio(s.Hit, s.Found) }

// Recall is the share of true times that were found.
func (s Score) Recall() float64 { return ratio(s.Hit, s.True) }

// F is the harmonic mean of precision and recall.
func (s Score) F() float64 { return ratio(2*s.Hit, s.True+s.Found) }

// Plus pools the counts of two scores; the median is lost.
func (s Score) Plus(o Score) Score {
	return Score{True: s.True + o.True, Found: s.Found + o.Found, Hit: s.Hit + o.Hit}
}

func ratio(a, b int) float64 {
	if b == 0 {
		return 0
	}
	return float64(a) / float64(b)
}

// Merge sorts times and replaces those that follow the first of a group within
// gap by the group's mean. Onset evaluations merge within 30 ms (common practice, no
// source): nobody hears the notes of a chord one by one.
func Merge(times []time.Duration, gap time.Duration) []time.Duration {
	t := slices.Sorted(slices.Values(times))
	var out []time.Duration
	for i := 0; i < len(t); {
		k, sum := i, time.Duration(0)
		for k < len(t) && t[k]-t[i] <= gap {
			sum += t[k] - t[i]
			k++
		}
		out = append(out, t[i]+sum/time.Duration(k-i))
		i = k
	}
	return out
}

// Match pairs true and found times one to one, as many as can be paired
// within the window. Both must be sorted. On a line the pairing that always
// takes the earliest partner is a largest one: if a larger one existed, its first
// difference could be exchanged for the earlier partner without losing a pair.
func Match(want, got []time.Duration, window time.Duration) Score {
	s := Score{True: len(want), Found: len(got)}
	var errs []time.Duration
	for i, k := 0, 0; i < len(want) && k < len(got); {
		switch d := got[k] - want[i]; {
		case d < -window:
			k++
		case d > window:
			i++
		default:
			errs = append(errs, d)
			i++
			k++
		}
	}
	s.Hit = len(errs)
	if len(errs) > 0 {
		slices.Sort(errs)
		s.Median = errs[len(errs)/2]
	}
	return s
}

// Continuity returns the shares of beats that are followed without a break at
// the right count (CMLt) and at the right, half or double count or off the beat
// (AMLt): a beat is right when its time and the interval before it agree within
// 17.5 % of the true interval (Hainsworth 2004; Davies, Degara and Plumbley 2009).
func Continuity(want, got []time.Duration) (cmlt, amlt float64) {
	cmlt = continuity(want, got)
	for _, other := range [][]time.Duration{want, between(want), odd(want, 0), odd(want, 1), doubled(want)} {
		amlt = max(amlt, continuity(other, got))
	}
	return cmlt, amlt
}

// continuity is the share of beats that are right, of the longer of the two lists, so that
// beats too many cost as beats too few do.
func continuity(want, got []time.Duration) float64 {
	if len(want) < 2 || len(got) < 2 {
		return 0
	}
	right := 0
	for k := 1; k < len(got); k++ {
		i := nearest(want, got[k])
		if i == 0 {
			continue
		}
		period := float64(want[i] - want[i-1])
		tolerance := 0.175 * period
		if math.Abs(float64(got[k]-want[i])) < tolerance &&
			math.Abs(float64(got[k-1]-want[i-1])) < tolerance &&
			math.Abs(float64(got[k]-got[k-1])-period) < tolerance {
			right++
		}
	}
	return float64(right) / float64(max(len(want), len(got))-1)
}

// nearest is the place in the list of the time that lies nearest.
func nearest(sorted []time.Duration, t time.Duration) int {
	i, _ := slices.BinarySearch(sorted, t)
	if i == len(sorted) || (i > 0 && t-sorted[i-1] < sorted[i]-t) {
		i--
	}
	return i
}

// between are the off-beats.
func between(t []time.Duration) (out []time.Duration) {
	for i := 1; i < len(t); i++ {
		out = append(out, (t[i-1]+t[i])/2)
	}
	return out
}

// odd is every other time, from a place on.
func odd(t []time.Duration, from int) (out []time.Duration) {
	for i := from; i < len(t); i += 2 {
		out = append(out, t[i])
	}
	return out
}

// doubled are the beats with the off-beats.
func doubled(t []time.Duration) []time.Duration {
	return slices.Sorted(slices.Values(append(between(t), t...)))
}
