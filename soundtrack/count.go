package soundtrack

import (
	"math"
	"slices"
)

// Beats are found as the likeliest path of a hand that moves round a dial: it
// points to a beat each time it passes the top, and its speed may change only
// there (the bar-pointer model, Whiteley, Cemgil and Godsill 2006; the
// observation as in Böck, Krebs and Widmer 2014). As the speed is fixed within
// a beat, the path is searched beat by beat: for each step of 20 ms and each interval
// that may have led to it.
const (
	countRate    = 50 // steps a second
	shortestBeat = 14 // steps: 214 beats a minute
	longestBeat  = 55 // steps: 55 beats a minute
	intervals    = longestBeat - shortestBeat + 1
	// steady punishes a change of interval by the factor f with
	// steady·|log f|, as the exponential distribution of the 2014 paper does;
	// the first step of 20 ms is free, or an even tempo that falls between two
	// steps would cost.
	steady = 370.0
	// dial is the number of sectors of the dial of which one is the beat.
	dial = 16.0
	// widestChange is how far an interval may differ from the one before.
	widestChange = 0.16
)

// counter holds the search. Scores are logarithms of probabilities.
type counter struct {
	beat   []float32 // by step: that it is a beat
	rest   []float64 // prefix sums: that frames are none
	onward [][intervals]float32
	from   [][intervals]uint8 // by step and interval: interval before it
	dialTable
}

// dialTable is what a tempo, and a change of it, count by themselves.
type dialTable struct {
	bias   [intervals]float32
	change [intervals][intervals]float32
	low    [intervals]int // changes from low to high are allowed
	high   [intervals]int
}

// countBeats returns the steps at which beats fall; p is the pulse, a probability for
// each step of 20 ms.
func countBeats(p []float32) []int {
	if len(p) < 2*longestBeat {
		return nil
	}
	c := newCounter(p)
	return c.search()
}

// newCounter tabulates all that the search adds up. A step on the beat counts ln p, each
// one between beats ln((1-p)/(dial-1)); p is kept off 0 and 1, so that no single step can
// forbid a path. Intervals further apart than widestChange are not even tried.
func newCounter(p []float32) *counter {
	c := &counter{beat: make([]float32, len(p)), from: make([][intervals]uint8, len(p)),
		onward: make([][intervals]float32, longestBeat+1)}
	rest := make([]float32, len(p))
	for i, v := range p {
		v = min(max(v, 0.01), 0.99)
		c.beat[i] = float32(math.Log(float64(v)))
		rest[i] = float32(math.Log(float64(1-v) / (dial - 1)))
	}
	c.rest = prefix(rest)
	c.tabulate(heardPrior)
	return c
}

// tabulate says what a tempo, by its prior, and a change of it count.
func (c *dialTable) tabulate(prior func(bpm float64) float32) {
	for i := range intervals {
		now := float64(shortestBeat + i)
		c.bias[i] = prior(60 * countRate / now)
		c.low[i], c.high[i] = intervals, 0
		for k := range intervals {
			last := float64(shortestBeat + k)
			f := math.Abs(math.Log(now / last))
			c.change[i][k] = float32(-steady * max(0, f-1/now))
			if f <= widestChange || i == k {
				c.low[i], c.high[i] = min(c.low[i], k), max(c.high[i], k+1)
			}
		}
	}
}

// livePrior leans towards slow tempi, or the search in sound as it comes would count every
// off-beat: a normal distribution on the octave scale, counted once a beat. Centre, width and
// weight were fitted with the weights in pulse.go.
func livePrior(bpm float64) float32 { return octavePrior(bpm, 62, 1.9) }

// heardPrior is for the network's activation, which knows beats from off-beats better.
func heardPrior(bpm float64) float32 { return octavePrior(bpm, heardCentre, heardWeight) }

const heardCentre, heardWeight = 80, 2.0

func octavePrior(bpm, centre, weight float64) float32 {
	d := math.Log2(bpm / centre)
	return float32(-0.5 * weight * d * d)
}

// search runs forward over all frames, then follows the best path back. A path may end
// at any beat after which the next would fall behind the end; the steps behind it count as
// rest. The work is steps times intervals times allowed changes, some 42 × 10 a step.
func (c *counter) search() []int {
	n := len(c.beat)
	best, bestEnd, bestInterval := float32(math.Inf(-1)), 0, 0
	for t := range n {
		var score [intervals]float32
		for i := range intervals {
			score[i] = c.arrive(t, i)
		}
		if t+longestBeat >= n {
			tail := float32(c.rest[n] - c.rest[t+1])
			for i, v := range score {
				if t+shortestBeat+i >= n && v+c.beat[t]+tail > best {
					best, bestEnd, bestInterval = v+c.beat[t]+tail, t, i
				}
			}
		}
		c.leave(t, &score)
	}
	return c.back(bestEnd, bestInterval)
}

// arrive scores the best path that has a beat at t after interval i. A first
// beat may come with any interval.
func (c *counter) arrive(t, i int) float32 {
	s := t - shortestBeat - i
	if s < 0 {
		return float32(c.rest[t])
	}
	return c.onward[s%len(c.onward)][i] + float32(c.rest[t]-c.rest[s+1])
}

// leave scores, for each interval that may follow the beat at t, the best path
// up to and with that beat.
func (c *counter) leave(t int, score *[intervals]float32) {
	on := &c.onward[t%len(c.onward)]
	from := &c.from[t]
	for i := range intervals {
		change := &c.change[i]
		top, at := float32(math.Inf(-1)), 0
		for k := c.low[i]; k < c.high[i]; k++ {
			if v := score[k] + change[k]; v > top {
				top, at = v, k
			}
		}
		on[i] = top + c.beat[t] + c.bias[i]
		from[i] = uint8(at)
	}
}

// back follows the notes of leave from the last beat to the first.
func (c *counter) back(t, i int) []int {
	var beats []int
	for t >= 0 {
		beats = append(beats, t)
		t -= shortestBeat + i
		if t >= 0 {
			i = int(c.from[t][i])
		}
	}
	slices.Reverse(beats)
	return beats
}
