package retake

import (
	"math"
	"math/bits"
	"slices"
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
	p    *Print
	t    *take
	work []uint64
}

// agreement counts for each lag from -reach to reach how many of n signs about
// the new time at agree with the old ones about old + lag. scale is old samples a
// new sample within the window.
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

// A guess is how a run may lie: its slope, and the scale within a window, which
// on a tape is the same.
type guess struct{ slope, scale float64 }

// tapes lists the slopes that the codes leave open, the likeliest first, for a
// run whose pitch goes with its speed.
func (r *run) tapes() (all []guess) {
	if math.Abs(r.slope-1) < 0.006 {
		all = append(all, guess{1, 1})
	}
	for k := range 11 {
		s := r.slope + float64((k+1)/2*(1-k%2*2))*0.001 // 0, -1, 1, -2 … thousandths
		all = append(all, guess{s, s})
	}
	return all
}

// stretched lists guesses for a run whose pitch and speed do not go together.
func (r *run) stretched() (all []guess) {
	for _, scale := range []float64{1, r.shift, r.shift - 0.004, r.shift + 0.004} {
		all = append(all, guess{r.slope, scale})
	}
	return all
}

// acquire finds the line of a run at one of some places along it, and sets it.
func (a *aligner) acquire(r *run) (g guess, ok bool) {
	best := a.tryAll(r, r.tapes(), anchorBits)
	if best.score < together {
		best = a.tryAll(r, r.stretched(), anchorBits/4)
		best.score -= 0.02 // chance gets farther in short windows
	}
	r.at, r.old, r.slope, r.shift, r.agree = best.at, best.old, best.slope, best.scale, best.score
	return best.guess, best.score >= together
}

// trial is a guess at a place, and how it fared.
type trial struct {
	guess
	at, old, score float64
}

func (a *aligner) tryAll(r *run, guesses []guess, n int) (best trial) {
	for k := range acquireAt {
		at := r.from + (r.to-r.from)*(float64(k)+0.5)/acquireAt
		if a.t.levelAt(at) == 0 {
			continue
		}
		for _, g := range guesses {
			x := a.try(r, g, at, n)
			if x.slope == 1 && x.scale == 1 {
				x.score += 0.01 // nobody changes the speed by a thousandth
			}
			if x.score > best.score {
				best = x
			}
		}
	}
	return best
}

// try sums the agreement of four windows about a place.
func (a *aligner) try(r *run, g guess, at float64, n int) trial {
	sums := make([]int, 2*acquireLags+1)
	var counts []int
	middle := r.place(at)
	for k := range 4 {
		d := (float64(k) - 1.5) * anchorBits
		counts = a.agreement(counts, at+d, middle+g.slope*d, g.scale, n, acquireLags)
		for i, c := range counts {
			sums[i] += c
		}
	}
	lag, height := peak(sums, acquireLags)
	return trial{g, at, middle + lag, height / float64(4*n)}
}

// track goes from the place where the run was acquired to both ends and finds the
// place of each anchor, led by those before it.
func (a *aligner) track(r *run, g guess) (anchors []anchor) {
	n, reach := anchorBits, 15
	if g.slope != g.scale {
		n, reach = anchorBits/2, 60
	}
	for _, step := range []float64{-anchorStep, anchorStep} {
		line := leader{at: r.at, old: r.old, slope: g.slope}
		scale := g.scale
		for at := r.at + step/2; at > r.from-rate && at < r.to+rate; at += step {
			if g.slope == g.scale {
				scale = line.slope
			}
			old := line.place(at)
			lag, height := peak(a.agreement(nil, at, old, scale, n, reach), reach)
			if agree := height / float64(n); agree > together+0.02 {
				anchors = append(anchors, anchor{at, old + lag, agree})
				line.follow(anchors[len(anchors)-1])
			}
		}
	}
	slices.SortFunc(anchors, func(x, y anchor) int { return compare(x.at, y.at) })
	return anchors
}

// leader is a line that follows the last anchors.
type leader struct {
	at, old, slope float64
	last           []anchor
}

func (l *leader) place(at float64) float64 { return l.old + l.slope*(at-l.at) }

// follow takes one more anchor: the line goes through the middle of the last
// eight, and once there are four of them has their slope, which may not leap.
func (l *leader) follow(x anchor) {
	l.last = append(l.last, x)
	if len(l.last) > 8 {
		l.last = l.last[1:]
	}
	at, old, slope := leastSquares(l.last)
	if len(l.last) < 4 {
		slope = l.slope
	}
	l.at, l.old = at, old
	l.slope += math.Min(math.Max(slope-l.slope, -0.001), 0.001)
}

// leastSquares returns the middle of the anchors and the slope of their line.
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
// slope is exactly 1, since the clocks of two files are the same; others get a
// straight line, and where that does not fit, one that follows the anchors.
func (r *run) fit(anchors []anchor, g guess) {
	agree := make([]float64, len(anchors))
	off := make([]float64, len(anchors))
	for i, x := range anchors {
		agree[i], off[i] = x.agree, x.old-x.at
	}
	r.agree = quantile(agree, 0.5)
	r.fitLine(anchors)
	reach := (anchors[len(anchors)-1].at - anchors[0].at) / 2
	if g.slope == g.scale && math.Abs(r.slope-1)*reach < straight && math.Abs(r.slope-1) < 0.002 {
		r.at, r.old, r.slope = 0, quantile(off, 0.5), 1
	}
	for i, x := range anchors {
		off[i] = math.Abs(x.old - r.place(x.at))
	}
	spread := quantile(off, 0.5)
	r.exact = spread <= straight && g.slope == g.scale
	if spread > straight {
		r.nodes = smooth(anchors)
	}
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

// smooth makes nodes of anchors: each the median of five, kept rising.
func smooth(anchors []anchor) (nodes []node) {
	for i := range anchors {
		lo, hi := max(i-2, 0), min(i+3, len(anchors))
		off := make([]float64, 0, 5)
		for _, x := range anchors[lo:hi] {
			off = append(off, x.old-x.at)
		}
		n := node{anchors[i].at, anchors[i].at + quantile(off, 0.5)}
		if k := len(nodes); k == 0 || n.old > nodes[k-1].old && n.at > nodes[k-1].at {
			nodes = append(nodes, n)
		}
	}
	return nodes
}

// refine places a run by signs. It returns false for a run that chance made.
func (a *aligner) refine(r *run) bool {
	coarse := *r
	g, ok := a.acquire(r)
	if !ok {
		return false
	}
	var anchors []anchor
	if g.slope == g.scale {
		// The codes know the slope of a long run better, the signs that of a short.
		if r.to-r.from > 8*rate {
			r.at, r.old, r.slope = coarse.at, coarse.old, coarse.slope
		}
		a.straighten(r)
		anchors = a.anchorsNear(r)
	} else {
		anchors = a.track(r, g)
	}
	if len(anchors) == 0 {
		return false
	}
	r.fit(anchors, g)
	return true
}
