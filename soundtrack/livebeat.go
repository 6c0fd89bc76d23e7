package soundtrack

import (
	"math"
	"time"
)

// dialNow is counter's search as far as it goes without what comes later: the likeliest hand
// at each step. Scores are kept less the sum of what is no beat up to their step, so that
// they can be held against one another whatever the length of the sound.
type dialNow struct {
	dialTable
	onward [longestBeat + 1][intervals]float64
	rest   float64 // sum of the steps before this one, were none of them a beat
	t      int     // next step
	pulse  [4 * longestBeat]float32
	sure   float64 // mean of the last beats, sum by weight
	sum    float64
	weight float64
	judged int // the last beat whose support was taken
}

func newDialNow() dialNow {
	d := dialNow{judged: -longestBeat}
	d.tabulate(livePrior)
	return d
}

// step takes the pulse of the next 20 ms; see counter.arrive and leave.
func (d *dialNow) step(p float32) {
	d.pulse[d.t%len(d.pulse)] = p
	p = min(max(p, 0.01), 0.99)
	beat, rest := math.Log(float64(p)), math.Log(float64(1-p)/(dial-1))
	var score [intervals]float64
	for i := range score {
		score[i] = d.rest
		if s := d.t - shortestBeat - i; s >= 0 {
			score[i] += d.onward[s%len(d.onward)][i]
		}
	}
	on := &d.onward[d.t%len(d.onward)]
	for i := range on {
		top := math.Inf(-1)
		for k := d.low[i]; k < d.high[i]; k++ {
			top = max(top, score[k]+float64(d.change[i][k]))
		}
		on[i] = top + beat + float64(d.bias[i]) - d.rest - rest
	}
	d.rest += rest
	d.t++
}

// best is the likeliest last beat, and the interval to the next one, by what was heard.
func (d *dialNow) best() (last, interval int, ok bool) {
	top := math.Inf(-1)
	for s := max(d.t-longestBeat, 0); s < d.t; s++ {
		for i := max(d.t-s-shortestBeat, 0); i < intervals; i++ {
			if v := d.onward[s%len(d.onward)][i]; v > top {
				top, last, interval, ok = v, s, shortestBeat+i, true
			}
		}
	}
	return last, interval, ok
}

// at is the pulse within a step of one that was.
func (d *dialNow) at(step int) float64 {
	most := float32(0)
	for k := step - 1; k <= step+1; k++ {
		if k >= 0 && k < d.t && k > d.t-len(d.pulse) {
			most = max(most, d.pulse[k%len(d.pulse)])
		}
	}
	return float64(most)
}

const (
	judgedOver  = 16  // beats
	leastJudged = .29 // weight of five of them
)

// forget lets nothing be sure: there is no sound.
func (d *dialNow) forget() { d.sum, d.weight, d.sure = 0, 0, 0 }

// judge takes how much more happened on a beat than at the quarters beside it, once those
// are over; see support.
func (d *dialNow) judge(last, interval int) {
	before := last - interval // whose surroundings are over
	if before <= d.judged+shortestBeat/2 {
		return
	}
	d.judged = before
	on := d.at(before) - .5*(d.at(before-interval/4)+d.at(before+interval/4))
	const share = 1. / judgedOver
	d.sum += share * (max(on, 0) - d.sum)
	d.weight += share * (1 - d.weight)
	if d.sure = 0; d.weight > leastJudged {
		d.sure = d.sum / d.weight
	}
}

// beat counts a beat when it is due: said ahead, by as much as what is known lags behind
// what sounds.
func (l *Live) beat() {
	h := &l.heard
	last, interval, ok := l.clock.best()
	if !ok {
		return
	}
	l.clock.judge(last, interval)
	const step = time.Second / countRate
	h.Sure = l.clock.sure
	rough := time.Duration(interval) * step
	if off := h.Period - rough; off.Abs() > step+rough/16 {
		h.Period = rough
	}
	next := time.Duration(last+interval) * step
	if came := time.Duration(last) * step; came-h.Beat > rough/2 && h.At-came < rough/2 {
		next = came // sooner than it was expected
	}
	due := h.At + l.Delay() + step
	if next <= due && next-h.Beat > rough/2 {
		if gap := next - h.Beat; (gap - h.Period).Abs() <= step+rough/16 { // finer than steps, over some beats
			h.Period += (gap - h.Period) / 8
		}
		h.Beats++
		h.Beat = next
	}
}
