package flash

import "time"

// Flash is a pair of opposing changes of one spot.
type Flash struct {
	At   time.Duration // leading edge
	End  time.Duration // second change
	Up   bool          // begins with a rise (of luminance, or toward red)
	Low  float64       // luminances, for red u' of the two states
	High float64
}

// edge is one change.
type edge struct {
	at        time.Duration
	up        bool
	low, high float64
}

// General returns the flashes of a spot whose luminance runs in straight lines
// from value to value; times do not descend.
func General(r *Rule, times []time.Duration, luminance []float32) []Flash {
	return pair(edges(r, times, luminance))
}

// edges finds the alternating extremes whose differences count; of equal
// extremes the last, which lies nearest to the change that follows.
//
// It goes up to an extreme and takes it only when the values have come back from it by
// a difference that counts, since they may still rise: until the first such difference
// it is not known whether it begins at a low or a high. Invariant: low and high are the
// extremes of the stretch since the last counted change, and once known, up tells which
// of them the values are on the way to. A change is put out only when it is over, so
// the last one is put out at the end. Differences that do not count are passed through,
// which joins a rise in small steps into one.
func edges(r *Rule, times []time.Duration, values []float32) []edge {
	var out []edge
	up, known := false, false
	low, high := 0, 0 // indexes of the extremes since the last reversal
	for i, v := range values {
		switch {
		case !known:
			if v <= values[low] {
				low = i
			}
			if v >= values[high] {
				high = i
			}
			known, up = r.Counts(float64(values[low]), float64(values[high])), low < high
		case up && v >= values[high]:
			high = i
		case up && r.Counts(float64(v), float64(values[high])):
			out = append(out, change(times, values, low, high))
			up, low = false, i
		case !up && v <= values[low]:
			low = i
		case !up && r.Counts(float64(values[low]), float64(v)):
			out = append(out, change(times, values, high, low))
			up, high = true, i
		}
	}
	switch {
	case known && up:
		out = append(out, change(times, values, low, high))
	case known:
		out = append(out, change(times, values, high, low))
	}
	return out
}

// change dates the change between two extremes at the instant at which it is half done:
// the last time that the middle is passed on the way. The sampling between two values
// is a straight line, so the instant is interpolated; to a microsecond, lest rounding
// part edges that are one.
func change(times []time.Duration, values []float32, from, to int) edge {
	a, b := values[from], values[to]
	e := edge{up: b > a, low: float64(min(a, b)), high: float64(max(a, b)), at: times[from]}
	middle := (a + b) / 2
	for i := to; i > from; i-- {
		if was := values[i-1]; was == middle || (was > middle) == (a > middle) {
			share := float64(middle-was) / float64(values[i]-was)
			e.at = (times[i-1] + time.Duration(share*float64(times[i]-times[i-1]))).Round(time.Microsecond)
			break
		}
	}
	return e
}

// pair makes flashes of neighbouring edges. Every edge may begin one flash and end
// another: a train of n edges gives n - 1 pairs, of which rises and falls are counted
// apart.
func pair(list []edge) []Flash {
	var out []Flash
	for i := 0; i+1 < len(list); i++ {
		a, b := list[i], list[i+1]
		if b.at-a.at <= Pairing {
			out = append(out, Flash{At: a.at, End: b.at, Up: a.up, Low: min(a.low, b.low), High: max(a.high, b.high)})
		}
	}
	return out
}
