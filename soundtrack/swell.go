package soundtrack

import (
	"fmt"
	"math"
	"time"
)

const (
	swellStep    = 10  // blocks between looks, 100 ms
	swellWindow  = 60  // blocks of loudness averaged, 600 ms
	swellSag     = 1.5 // LU by which a rise may sag on its way
	leastSwell   = 6.0 // LU from start to end
	shortSwell   = 1500 * time.Millisecond
	longSwell    = 30 * time.Second
	steepest     = 0.6                     // share of the rise that may fall into half a second: more is a cut
	swellSnap    = 1200 * time.Millisecond // how near a turn an end is moved onto it
	swellLate    = 400 * time.Millisecond
	swellQuieter = 35.0 // LU under the programme below which rises are not heard
)

// swells finds rises of loudness that go on for seconds, and falls, which are
// rises of the same sound from its end; their ends are moved to turns by one
// rule (atTurns).
func swells(power []float32, programme float64, turns []Moment) []Moment {
	level := every(sliding(power, swellWindow), swellStep)
	floor := float32(max(programme-swellQuieter, -70))
	for i, v := range level {
		level[i] = max(v, floor)
	}
	var out []Moment
	for _, r := range rises(level) {
		out = append(out, swellMoment(level, r[0], r[1], turns))
	}
	back := make([]float32, len(level))
	for i, v := range level {
		back[len(level)-1-i] = v
	}
	for _, r := range rises(back) {
		out = append(out, swellMoment(level, len(level)-1-r[1], len(level)-1-r[0], turns))
	}
	return out
}

// rises returns the first and last index of each rise. From each start the level is
// followed while it sags by no more than swellSag under the top so far; low is the lowest
// point before the rise proper, put forward past what lies level.
func rises(level []float32) (out [][2]int) {
	for i := 0; i < len(level); {
		low, top := i, i
		k := i + 1
		for ; k < len(level) && level[k] >= level[top]-swellSag; k++ {
			if level[k] > level[top] {
				top = k
			}
			if level[k] < level[low] || (top == low && level[k] <= level[low]) {
				low, top = k, k
			}
		}
		for low < top && level[low+1] <= level[low]+0.1 {
			low++
		}
		if isSwell(level, low, top) {
			out = append(out, [2]int{low, top})
		}
		i = max(top, i+1)
	}
	return out
}

// isSwell holds a rise against the limits of length, height and evenness.
func isSwell(level []float32, low, top int) bool {
	length := time.Duration((top-low)*swellStep) * hop
	rise := level[top] - level[low]
	if length < shortSwell || length > longSwell || rise < leastSwell {
		return false
	}
	const half = 5 // steps in half a second
	for i := low; i+half <= top; i++ {
		if level[i+half]-level[i] > steepest*rise {
			return false
		}
	}
	return true
}

// swellMoment makes a moment of the rise or fall from step a to step b.
func swellMoment(level []float32, a, b int, turns []Moment) Moment {
	from, to := time.Duration(a*swellStep)*hop, time.Duration(b*swellStep)*hop
	change := float64(level[b] - level[a])
	from, to = atTurns(turns, from, to, change > 0)
	word := "rises"
	if change < 0 {
		word = "falls"
	}
	return Moment{Kind: Swell, Time: from, End: to, Strength: min(1, math.Abs(change)/24), Before: float64(level[a]), After: float64(level[b]),
		Why: fmt.Sprintf("loudness %s by %.0f LU within %.1f s, to %.0f LUFS", word, math.Abs(change), (to - from).Seconds(), level[b])}
}

// atTurns moves both ends to turns that are near, if the swell stays one. A
// rise that runs into a louder section seems to go on for swellLate, and a fall
// out of one to have begun so much before: by this the loud end is looked for
// first, and so much less beyond it.
func atTurns(turns []Moment, from, to time.Duration, rises bool) (time.Duration, time.Duration) {
	p, q := nearTurn(turns, from, swellSnap), nearTurn(turns, to-swellLate, swellSnap-swellLate)
	loud, was := q, to-swellLate
	if !rises {
		p, q = nearTurn(turns, from+swellLate, swellSnap-swellLate), nearTurn(turns, to, swellSnap)
		loud, was = p, from+swellLate
	}
	if loud == was || q-p < shortSwell {
		return from, to
	}
	return p, q
}
