package retake

import (
	"math"
	"slices"
)

// weight is the evidence that a run is right: signs that agree beyond chance.
func (r *run) weight() float64 { return (r.to - r.from) * (r.agree - 0.5) }

// leastPiece is the shortest piece of a run worth keeping, samples: 0.2 s.
const leastPiece = rate / 5

// choose lets each new time come from one run: the heaviest first, the others
// where those leave room. Long runs win, so that of two equal places the one
// stays that needs no jump.
func choose(runs []*run) (kept []*run) {
	slices.SortStableFunc(runs, func(a, b *run) int {
		if a.weight() != b.weight() {
			return compare(b.weight(), a.weight())
		}
		return compare(a.from, b.from)
	})
	for _, r := range runs {
		free := []span{{r.from, r.to}}
		for _, k := range kept {
			lo, hi := math.Max(r.from, k.from), math.Min(r.to, k.to)
			if hi <= lo {
				continue
			}
			free = without(free, span{lo, hi})
			// Where two runs meet, sound that is on both may belong to either.
			if !k.sameLine(r, (lo+hi)/2) && (hi-lo < leastPiece || r.agree > k.agree-0.06) {
				k.rivals = append(k.rivals, span{lo, hi})
			}
		}
		for _, f := range free {
			if f.to-f.from >= leastPiece {
				piece := *r
				piece.from, piece.to, piece.rivals = f.from, f.to, nil
				kept = append(kept, &piece)
			}
		}
	}
	slices.SortFunc(kept, func(a, b *run) int { return compare(a.from, b.from) })
	return kept
}

// without takes a span out of others.
func without(from []span, cut span) (left []span) {
	for _, s := range from {
		if cut.to <= s.from || cut.from >= s.to {
			left = append(left, s)
			continue
		}
		if cut.from > s.from {
			left = append(left, span{s.from, cut.from})
		}
		if cut.to < s.to {
			left = append(left, span{cut.to, s.to})
		}
	}
	return left
}

// sameLine tells whether two runs put a new time in one place, within 2 ms.
func (r *run) sameLine(o *run, at float64) bool {
	return math.Abs(r.place(at)-o.place(at)) < 0.002*rate
}

// adopt gives a run that codes alone place the line of an exact one beside it,
// when it is all but the same line: what codes place to 50 ms, in a steady sound
// under noise, that line places to the sample. All of it stays weak.
func adopt(runs []*run) {
	const near = rate / 5
	for i, r := range runs {
		if r.exact {
			continue
		}
		for _, k := range []int{i - 1, i + 1} {
			if k < 0 || k >= len(runs) || !runs[k].exact {
				continue
			}
			o := runs[k]
			if math.Abs(o.place(r.from)-r.place(r.from)) < near && math.Abs(o.place(r.to)-r.place(r.to)) < near {
				r.at, r.old, r.slope, r.agree, r.gain = o.at, o.old, o.slope, o.agree, o.gain
				r.nodes, r.exact = nil, true
				r.weak = append(r.weak, span{r.from, r.to})
				break
			}
		}
	}
}

// join puts runs together that follow each other on one line, when what lies
// between is silence, or the old sound under noise. The joint is weak.
func (a *aligner) join(runs []*run) (joined []*run) {
	adopt(runs)
	for _, r := range runs {
		if len(joined) > 0 {
			last := joined[len(joined)-1]
			gap := span{last.to, r.from}
			if last.sameLine(r, (gap.from+gap.to)/2) && (gap.to-gap.from < rate/4 || a.hidden(last, gap)) {
				last.extend(r, gap)
				continue
			}
		}
		joined = append(joined, r)
	}
	return joined
}

// extend makes r reach to the end of the run behind it. The worse agreement counts for
// both, since only the whole is told.
func (r *run) extend(next *run, gap span) {
	if len(r.nodes) > 0 && len(next.nodes) > 0 {
		r.nodes = append(r.nodes, next.nodes...)
	}
	r.to = next.to
	r.weak = append(append(r.weak, gap), next.weak...)
	r.rivals = append(r.rivals, next.rivals...)
	r.agree = math.Min(r.agree, next.agree)
}

// intoQuiet lets runs reach into silence at their ends: silence belongs to the
// sound beside it, as far as both tracks are silent and no other run is there.
func (a *aligner) intoQuiet(runs []*run) {
	a.snap(runs)
	olds := make([]span, len(runs))
	for i, r := range runs {
		olds[i] = span{r.place(r.from), r.place(r.to)}
	}
	for i, r := range runs {
		// Forward to the next run or the end, then back to the one before or the beginning; each
		// time only over old places that no other run claims.
		newLimit := float64(len(a.t.signal))
		if i+1 < len(runs) {
			newLimit = runs[i+1].from
		}
		free := func(old float64) bool { return a.oldFree(olds, i, old) }
		end := a.reach(r, r.to, newLimit, 1, free)
		r.addWeak(span{r.to, end})
		r.to = math.Max(r.to, end)
		newLimit = 0
		if i > 0 {
			newLimit = runs[i-1].to
		}
		start := a.reach(r, r.from, newLimit, -1, free)
		r.addWeak(span{start, r.from})
		r.from = math.Min(r.from, start)
		olds[i] = span{r.place(r.from), r.place(r.to)}
	}
}

// snap lets the first and the last run reach the ends of the new track when they
// all but do: a few signs are too few to be sure of.
func (a *aligner) snap(runs []*run) {
	const near = 0.025 * rate
	if len(runs) == 0 {
		return
	}
	if first := runs[0]; first.from < near && first.place(0) > -near {
		first.from = math.Max(0, first.when(0))
	}
	end := float64(len(a.t.signal))
	if last := runs[len(runs)-1]; end-last.to < near && last.place(end) < float64(a.p.signs.n)+near {
		last.to = math.Min(end, last.when(float64(a.p.signs.n)))
	}
}

// addWeak notes a part that was not heard, if it has any length.
func (r *run) addWeak(s span) {
	if s.to > s.from {
		r.weak = append(r.weak, s)
	}
}

// oldFree tells whether an old place is in the track and in no other run.
func (a *aligner) oldFree(olds []span, self int, old float64) bool {
	if old < 0 || old > float64(a.p.signs.n) {
		return false
	}
	for i, o := range olds {
		if i != self && old >= o.from && old < o.to {
			return false
		}
	}
	return true
}
