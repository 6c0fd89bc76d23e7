package output

import (
	"fmt"
	"slices"
	"time"
)

// Lateness tells how far past their due times frames were handed out.
type Lateness struct {
	Median, P99, P999, Worst time.Duration
	Behind                   int // later than LateAfter
	Missed                   int // frames that were never made: the computer stalled
	Recent                   int // of the last ten seconds: behind or missed
}

func (l Lateness) String() string {
	round := func(d time.Duration) time.Duration { return d.Round(10 * time.Microsecond) }
	return fmt.Sprintf("frames late by %v (median), %v (99.9 %%), %v (worst); %d missed", round(l.Median), round(l.P999), round(l.Worst), l.Missed)
}

// Lates counts in steps of 50 µs up to 100 ms, so that a night needs no more memory
// than a minute. A frame later than 100 ms counts in the last step, and its own
// lateness as the worst.
type Lates struct {
	steps  [2000]int
	worst  time.Duration
	count  int
	behind int // later than LateAfter
}

const lateStep = 50 * time.Microsecond

// Add counts a frame.
func (l *Lates) Add(d time.Duration) {
	i := min(max(int(d/lateStep), 0), len(l.steps)-1)
	l.steps[i]++
	l.count++
	if d > LateAfter {
		l.behind++
	}
	l.worst = max(l.worst, d)
}

// Sum is what they come to; how many were never made is for the run to say.
func (l *Lates) Sum() Lateness {
	return Lateness{Median: l.share(.5), P99: l.share(.99), P999: l.share(.999), Worst: l.worst, Behind: l.behind}
}

// share returns the lateness that the given share of frames does not exceed.
func (l *Lates) share(p float64) time.Duration {
	need := int(p * float64(l.count))
	sum := 0
	i := slices.IndexFunc(l.steps[:], func(n int) bool { sum += n; return sum > need })
	if i < 0 || l.count == 0 {
		return 0
	}
	return min(time.Duration(i+1)*lateStep, l.worst)
}
