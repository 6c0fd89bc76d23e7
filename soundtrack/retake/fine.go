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
	acquireMost = 12   // anchors that acquire together
	anchorStep  = rate / 2
	// together is the share of agreeing signs from which places belong together:
	// 12 anchors of chance would have to be 8 standard deviations off.
	together = 0.58
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

// guesses lists what the codes leave open about a run, the likeliest first.
func (r *run) guesses() (all []guess) {
	if math.Abs(r.slope-1) < 0.006 {
		all = append(all, guess{1, 1})
	}
	for k := range 11 {
		s := r.slope + float64((k+1)/2*(1-k%2*2))*0.001 // 0, -1, 1, -2 … thousandths
		all = append(all, guess{s, s})
	}
	if math.Abs(r.slope-r.shift) > 0.004 { // pitch and speed not together
		for k := range 7 {
			all = append(all, guess{r.slope, r.shift + float64(k-3)*0.003})
		}
	}
	return all
}

// middles chooses up to acquireMost times in the run that are not quiet, within
// reach of its middle.
func (r *run) middles(t *take, reach float64) (at []float64) {
	mid := (r.from + r.to) / 2
	lo, hi := math.Max(r.from-rate/2, mid-reach), math.Min(r.to+rate/2, mid+reach)
	for k := range 4 * acquireMost {
		x := lo + (hi-lo)*(float64(k)+0.5)/(4*acquireMost)
		if i := int(x / hop); i >= 0 && i < len(t.level) && t.level[i] > 0 {
			at = append(at, x)
		}
	}
	for len(at) > acquireMost {
		kept := at[:0]
		for i, x := range at {
			if i%2 == 0 {
				kept = append(kept, x)
			}
		}
		at = kept
	}
	return at
}

// acquire finds the line of a run among its guesses, near the middle of the run.
func (a *aligner) acquire(r *run) (g guess, ok bool) {
	var sums, counts []int
	best, bestLag := 0.0, 0.0
	mid := (r.from + r.to) / 2
	for i, try := range r.guesses() {
		n, reach := anchorBits, 5.0*rate
		if try.slope != try.scale {
			n, reach = anchorBits/4, 2.0*rate
		}
		places := r.middles(a.t, reach)
		if len(places) == 0 {
			return g, false
		}
		sums = append(sums[:0], make([]int, 2*acquireLags+1)...)
		for _, at := range places {
			old := r.place(mid) + try.slope*(at-mid)
			counts = a.agreement(counts, at, old, try.scale, n, acquireLags)
			for k, c := range counts {
				sums[k] += c
			}
		}
		lag, height := peak(sums, acquireLags)
		score := height / float64(n*len(places))
		if i > 0 && g.slope == 1 {
			score -= 0.02 // nobody changes the speed by a thousandth
		}
		if score > best {
			best, bestLag, g = score, lag, try
		}
	}
	r.old = r.place(mid) + bestLag
	r.at, r.slope, r.shift, r.agree = mid, g.slope, g.scale, best
	return g, best >= together
}

// track goes from the middle of the run to both ends and finds the place of each
// anchor, led by those before it.
func (a *aligner) track(r *run, g guess) (anchors []anchor) {
	n, reach := anchorBits, 12
	switch {
	case g.slope != g.scale:
		n, reach = anchorBits/2, 60
	case g.slope != 1:
		reach = 25
	}
	for _, step := range []float64{-anchorStep, anchorStep} {
		at, old := r.at, r.old
		slope := g.slope
		if step < 0 {
			at, old = at-anchorStep/2, old-slope*anchorStep/2
		}
		for at > r.from-rate && at < r.to+rate {
			c := a.agreement(nil, at, old, g.scale, n, reach)
			lag, height := peak(c, reach)
			agree := height / float64(n)
			if agree > together {
				anchors = append(anchors, anchor{at, old + lag, agree})
				old += lag * 0.5
				if g.slope != 1 {
					slope += 0.1 * lag / step
				}
			}
			at += step
			old += slope * step
		}
	}
	slices.SortFunc(anchors, func(x, y anchor) int { return compare(x.at, y.at) })
	return anchors
}

// straight is how far anchors may lie off a line that is straight, samples: 0.6 ms.
const straight = 0.0006 * rate

// fit makes the run's line of its anchors. A run at the old speed has a slope of
// exactly 1, since the clocks of two files are the same; others get a straight
// line, and where that does not fit, one that follows the anchors.
func (r *run) fit(anchors []anchor, g guess) {
	agree := make([]float64, len(anchors))
	for i, x := range anchors {
		agree[i] = x.agree
	}
	r.agree = quantile(agree, 0.5)
	if g.slope == 1 {
		off := make([]float64, len(anchors))
		for i, x := range anchors {
			off[i] = x.old - x.at
		}
		r.at, r.old, r.slope = 0, quantile(off, 0.5), 1
	} else {
		r.fitLine(anchors)
	}
	off := make([]float64, len(anchors))
	for i, x := range anchors {
		off[i] = math.Abs(x.old - r.place(x.at))
	}
	spread := quantile(off, 0.5)
	r.exact = spread <= straight && g.slope == g.scale
	if spread > straight {
		r.nodes = smooth(anchors)
	}
}

// fitLine is least squares, twice: the second time without what lay far off.
func (r *run) fitLine(anchors []anchor) {
	limit := math.Inf(1)
	for range 3 {
		var sx, sy, sxx, sxy, n float64
		for _, x := range anchors {
			if math.Abs(x.old-r.place(x.at)) > limit {
				continue
			}
			u, v := x.at-anchors[0].at, x.old-anchors[0].old
			sx, sy, sxx, sxy, n = sx+u, sy+v, sxx+u*u, sxy+u*v, n+1
		}
		if d := n*sxx - sx*sx; n >= 2 && d > 0 {
			r.slope = (n*sxy - sx*sy) / d
			r.at, r.old = anchors[0].at+sx/n, anchors[0].old+sy/n
		}
		limit = 5 * straight
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
	g, ok := a.acquire(r)
	if !ok {
		return false
	}
	anchors := a.track(r, g)
	if len(anchors) == 0 {
		return false
	}
	r.fit(anchors, g)
	return true
}
