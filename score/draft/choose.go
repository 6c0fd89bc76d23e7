package draft

import (
	"slices"
	"sort"
	"time"
)

// problem is the choice of cues: candidates by time with their worth, fixed
// cues that are there anyway, and how many may lie in stretches of time.
type problem struct {
	at        []time.Duration // of candidates, ascending
	worth     []int64         // what a candidate adds, its price taken off
	fixed     []time.Duration // ascending
	stretches []stretch
	// In every stretch of this length at most so many.
	rules []rule
}

// stretch is from <= t < to.
type stretch struct {
	from, to time.Duration
	most     int
}

// rule bounds the number in any half-open stretch of a length.
type rule struct {
	within time.Duration
	most   int
	why    string
}

// choose returns which candidates are in the best choice. A candidate whose worth is
// nothing may be counted by an optimal corner all the same; it is taken out again,
// which keeps every bound.
func (p *problem) choose() []bool {
	n := len(p.at)
	chosen := make([]bool, n)
	if n == 0 {
		return chosen
	}
	// S(i) is the number chosen among the first i; the gain of S(i) is what
	// candidate i adds less what the next would.
	gain := make([]int64, n+1)
	for i, w := range p.worth {
		gain[i+1] += w
		gain[i] -= w
	}
	var bounds []bound
	for i := range n {
		bounds = append(bounds, bound{i, i + 1, 1}, bound{i + 1, i, 0})
	}
	for _, s := range p.all() {
		a, b := p.index(s.from), p.index(s.to)
		if b > a && s.most < b-a {
			bounds = append(bounds, bound{a, b, int64(s.most)})
		}
	}
	count := differences(n+1, bounds, gain)
	for i := range chosen {
		chosen[i] = count[i+1] > count[i] && p.worth[i] > 0
	}
	return chosen
}

// index returns the number of candidates before t.
func (p *problem) index(t time.Duration) int {
	return sort.Search(len(p.at), func(i int) bool { return p.at[i] >= t })
}

// all lists the stretches with what fixed cues leave of them: those given, and one for
// each rule from every candidate and fixed cue on. It is enough to begin a stretch at
// each cue: any stretch that holds too many holds as many when it begins at the first
// of them.
func (p *problem) all() []stretch {
	out := slices.Clone(p.stretches)
	starts := append(slices.Clone(p.at), p.fixed...)
	slices.Sort(starts)
	starts = slices.Compact(starts)
	for _, r := range p.rules {
		for _, t := range starts {
			out = append(out, stretch{t, t + r.within, r.most})
		}
	}
	for i := range out {
		out[i].most = max(0, out[i].most-p.fixedIn(out[i]))
	}
	return out
}

func (p *problem) fixedIn(s stretch) int {
	a := sort.Search(len(p.fixed), func(i int) bool { return p.fixed[i] >= s.from })
	b := sort.Search(len(p.fixed), func(i int) bool { return p.fixed[i] >= s.to })
	return max(0, b-a)
}

func (p *problem) sortFixed() { slices.Sort(p.fixed) }
