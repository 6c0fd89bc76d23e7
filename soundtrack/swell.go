package soundtrack

import (
	"fmt"
	"math"
	"time"
)

const (
	swellStep   = 10 // blocks between looks, 100 ms
	swellWindow = 60 // blocks of loudness averaged, 600 ms
	// swellSag is how far, in LU, a rise may sag under its top on its way. It may do so further,
	// by leastDip or by deepestSag of the rise so far, for swellWait steps: about as long as the ear
	// holds on to what was loud. The long-term loudness of Glasberg and Moore 2002 (J. Audio Eng.
	// Soc. 50) falls off with a time of 2 s (from memory). Fitted on collages by others.
	swellSag   = 1.5
	leastDip   = 2.0
	deepestSag = 0.4
	swellWait  = 14
	// Where a rise has arrived is told by up to arriveAfter steps behind its top, but none that lies
	// more than fallsAway, in LU, under it.
	arriveAfter  = 10
	fallsAway    = 3
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

// rises returns the first and last index of each rise, put forward past what lies level, to where
// it arrives.
func rises(level []float32) (out [][2]int) {
	for i := 0; i < len(level); {
		low, top := climb(level, i)
		for low < top && level[low+1] <= level[low]+0.1 {
			low++
		}
		if time.Duration((top-low)*swellStep)*hop <= 2*longSwell {
			if end := arrival(level, low, top); isSwell(level, low, end) {
				out = append(out, [2]int{low, end})
			}
		}
		i = max(top, i+1)
	}
	return out
}

// climb follows the level from a start while it does not sag too far or too long, and returns the
// lowest point before the rise proper and the highest.
func climb(level []float32, from int) (low, top int) {
	low, top = from, from
	under := 0
	for k := from + 1; k < len(level); k++ {
		if level[k] > level[top] {
			top = k
		}
		if level[k] < level[low] || (top == low && level[k] <= level[low]) {
			low, top = k, k
		}
		if level[k] >= level[top]-swellSag {
			under = 0
			continue
		}
		under++
		if under > swellWait || level[k] < level[top]-max(leastDip, deepestSag*(level[top]-level[low])) {
			break
		}
	}
	return low, top
}

// arrival is the step at which a rise from low arrives: the knee of the line that goes up and then
// lies level which fits best, in the mean of squares, from low to some way behind the top.
func arrival(level []float32, low, top int) int {
	to := top
	for to+1 < len(level) && to-top < arriveAfter && level[to+1] > level[top]-fallsAway {
		to++
	}
	best, knee := math.Inf(1), top
	for k := low + 1; k <= top; k++ {
		if e := kneeError(level[low:to+1], k-low); e < best {
			best, knee = e, k
		}
	}
	return knee
}

// kneeError is the sum of squares that y = a + b·min(t, knee) leaves, at the best a and b.
func kneeError(y []float32, knee int) float64 {
	var n, st, stt, sy, sty, syy float64
	for i, v := range y {
		t, v := float64(min(i, knee)), float64(v)
		n, st, stt, sy, sty, syy = n+1, st+t, stt+t*t, sy+v, sty+t*v, syy+v*v
	}
	ctt, cty, cyy := stt-st*st/n, sty-st*sy/n, syy-sy*sy/n
	if ctt <= 0 {
		return cyy
	}
	return cyy - cty*cty/ctt
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
