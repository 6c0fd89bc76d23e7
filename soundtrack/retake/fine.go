package retake

import (
	"math"
	"math/bits"
)

// An anchor is a place in the new track whose place in the old is known from the
// signs about it.
type anchor struct {
	at, old float64
	agree   float64 // share of signs that agree there
}

const (
	anchorBits  = 1280 // 0.26 s
	acquireLags = 320  // 64 ms to both sides: what codes leave open
	acquireAt   = 9    // places along a run where it is tried
	anchorStep  = rate / 2
	// together is the share of agreeing signs from which places belong together:
	// the four anchors that acquire would by chance have to be 7 standard
	// deviations off, signs being half as many as they seem.
	together = 0.57
)

// aligner reads signs of both tracks along a line.
type aligner struct {
	p     *Print
	t     *take
	floor uint8 // level of the quietest sound of the new track
	work  []uint64
}

// agreement counts for each lag from -reach to reach how many of n signs about
// the new time at agree with the old ones about old + lag. scale is old samples a
// new sample within the window. It is the correlation of the two signals reduced to signs,
// 64 of them at a time; n is a multiple of 64.
func (a *aligner) agreement(dst []int, at, old, scale float64, n, reach int) []int {
	dst = dst[:0]
	// New signs are read on the grid of the old track.
	k0 := int(math.Round(old)) - n/2
	start := at + (float64(k0)-old)/scale
	a.work = a.t.readSigns(a.work, start, 1/scale, n)
	for lag := -reach; lag <= reach; lag++ {
		wrong := 0
		for i, w := range a.work {
			wrong += bits.OnesCount64(w ^ a.p.signs.word(k0+64*i+lag))
		}
		dst = append(dst, n-wrong)
	}
	return dst
}

// peak returns the lag of the highest count, between lags by a parabola, and the
// count.
func peak(counts []int, reach int) (lag, height float64) {
	best := 0
	for i, c := range counts {
		if c > counts[best] {
			best = i
		}
	}
	lag, height = float64(best-reach), float64(counts[best])
	if best > 0 && best < len(counts)-1 {
		l, m, r := float64(counts[best-1]), height, float64(counts[best+1])
		if d := l - 2*m + r; d < 0 {
			lag += 0.5 * (l - r) / d
		}
	}
	return lag, height
}

// tapes lists the slopes that the codes leave open, the likeliest first, for a
// run whose pitch goes with its speed: thousandths about what the chain says, 5 to each side.
func (r *run) tapes() (all []float64) {
	if math.Abs(r.slope-1) < 0.006 {
		all = append(all, 1)
	}
	for k := range 11 {
		all = append(all, r.slope+float64((k+1)/2*(1-k%2*2))*0.001) // 0, -1, 1, -2 … thousandths
	}
	return all
}

// trial is a slope at a place, and how it fared.
type trial struct{ slope, at, old, score float64 }

// acquire finds the line of a run near one of some places along it, and sets it.
func (a *aligner) acquire(r *run) bool {
	best := trial{}
	for k := range acquireAt {
		at := r.from + (r.to-r.from)*(float64(k)+0.5)/acquireAt
		if a.t.levelAt(at) == 0 {
			continue
		}
		for _, slope := range r.tapes() {
			x := a.try(r, slope, at)
			if slope == 1 {
				x.score += 0.01 // nobody changes the speed by a thousandth
			}
			if x.score > best.score {
				best = x
			}
		}
	}
	if best.score < together {
		return false
	}
	r.at, r.old, r.slope, r.agree = best.at, best.old, best.slope, best.score
	return true
}

// try sums the agreement of four windows about a place. Together they are a second long:
// at a slope that is off by a thousandth the outer ones lie four samples apart and their
// peaks no longer add up.
func (a *aligner) try(r *run, slope, at float64) trial {
	const n = anchorBits
	sums := make([]int, 2*acquireLags+1)
	var counts []int
	middle := r.place(at)
	for k := range 4 {
		d := (float64(k) - 1.5) * n
		counts = a.agreement(counts, at+d, middle+slope*d, slope, n, acquireLags)
		for i, c := range counts {
			sums[i] += c
		}
	}
	lag, height := peak(sums, acquireLags)
	return trial{slope, at, middle + lag, height / (4 * n)}
}

// leastSquares returns the middle of the anchors and the slope of their line, 1 for a
// single one. Differences from the first are summed, which keeps hours from costing digits.
func leastSquares(anchors []anchor) (at, old, slope float64) {
	var sx, sy, sxx, sxy float64
	n := float64(len(anchors))
	for _, x := range anchors {
		u, v := x.at-anchors[0].at, x.old-anchors[0].old
		sx, sy, sxx, sxy = sx+u, sy+v, sxx+u*u, sxy+u*v
	}
	slope = 1
	if d := n*sxx - sx*sx; d > 0 {
		slope = (n*sxy - sx*sy) / d
	}
	return anchors[0].at + sx/n, anchors[0].old + sy/n, slope
}

// straight is how far anchors may lie off a line that is straight, samples: 0.6 ms.
const straight = 0.0006 * rate

// fit makes the run's line of its anchors. Where the speed is the old one the
// slope is exactly 1, since the clocks of two files are the same. It returns
// false when the anchors do not lie on a line.
func (r *run) fit(anchors []anchor) bool {
	agree := make([]float64, len(anchors))
	off := make([]float64, len(anchors))
	for i, x := range anchors {
		agree[i], off[i] = x.agree, x.old-x.at
	}
	r.agree = quantile(agree, 0.5)
	r.fitLine(anchors)
	reach := (anchors[len(anchors)-1].at - anchors[0].at) / 2
	if math.Abs(r.slope-1)*reach < straight && math.Abs(r.slope-1) < 0.002 {
		r.at, r.old, r.slope = 0, quantile(off, 0.5), 1
	}
	for i, x := range anchors {
		off[i] = math.Abs(x.old - r.place(x.at))
	}
	return quantile(off, 0.5) <= straight
}

// fitLine takes the middle of the slopes between anchors half the run apart, which
// strays do not move, and then least squares over those that lie close.
func (r *run) fitLine(anchors []anchor) {
	h := len(anchors) / 2
	if h == 0 {
		r.at, r.old = anchors[0].at, anchors[0].old
		return
	}
	var slopes []float64
	for i, x := range anchors[:len(anchors)-h] {
		y := anchors[i+h]
		slopes = append(slopes, (y.old-x.old)/(y.at-x.at))
	}
	r.at, r.slope = anchors[h].at, quantile(slopes, 0.5)
	off := make([]float64, len(anchors))
	for i, x := range anchors {
		off[i] = x.old - r.slope*(x.at-r.at)
	}
	r.old = quantile(off, 0.5)
	for range 3 {
		for i, x := range anchors {
			off[i] = math.Abs(x.old - r.place(x.at))
		}
		limit := math.Max(3*quantile(off, 0.5), straight/10)
		var used []anchor
		for i, x := range anchors {
			if off[i] <= limit {
				used = append(used, x)
			}
		}
		if len(used) < 2 {
			return
		}
		r.at, r.old, r.slope = leastSquares(used)
	}
}

// refine places a run by signs. It returns false for a run that they do not
// confirm. The steps: find the line anywhere along the run, straighten it along the whole,
// take anchors on it, fit it to them, and look at all of it once more.
func (a *aligner) refine(r *run) bool {
	coarse := *r
	if !a.acquire(r) {
		return false
	}
	// The codes know the slope of a long run better, the signs that of a short.
	if r.to-r.from > 8*rate {
		r.at, r.old, r.slope = coarse.at, coarse.old, coarse.slope
	}
	a.straighten(r)
	anchors := a.anchorsNear(r)
	if len(anchors) == 0 || !r.fit(anchors) {
		return false
	}
	r.exact = a.overall(r) >= together
	return r.exact
}

// overall is the share of signs that agree along the whole run, whatever the
// anchors say, which were chosen for agreeing.
func (a *aligner) overall(r *run) float64 {
	sum, n := 0.0, 0.0
	step := math.Max((r.to-r.from)/200, stretch)
	for at := r.from; at+stretch <= r.to+1; at += step {
		if a.t.levelAt(at) > 0 {
			sum += a.agreeing(r, at, stretch)
			n++
		}
	}
	if n == 0 {
		return r.agree // a run of a single block
	}
	return sum / n
}
