package cues

import (
	"cmp"
	"slices"
	"sort"
	"strconv"
	"time"

	"lampblack/check/finding"
	"lampblack/score"
	"lampblack/show"
	"lampblack/si"
)

// order finds cues whose numbers do not rise with their times: whoever calls the show by its numbers
// calls the wrong one. The fewest are told whose other numbers would put all in order. Cues that begin
// at one instant have no order.
func (r *limits) order() {
	var list []numbered
	for i := range r.Show.Cues {
		n, err := strconv.ParseFloat(r.Show.Cues[i].Number.Name, 64)
		if err != nil {
			return // those of a whole evening are called by their step
		}
		list = append(list, numbered{&r.Show.Cues[i], n})
	}
	slices.SortStableFunc(list, func(a, b numbered) int {
		return cmp.Or(cmp.Compare(a.cue.Start, b.cue.Start), cmp.Compare(a.number, b.number))
	})
	keeps := rising(list)
	for i, c := range list {
		if keeps[i] {
			continue
		}
		f := r.cue(c.cue).As("cue-order", finding.Warn, "cue %s begins at %s, %s", c.cue.Number, si.FormatTime(c.cue.Start), beside(list, keeps, i))
		f.Value = c.number
		f.Cure = finding.Say("number it between its neighbours, as 10.5, or is its time a slip?")
		r.Add(f)
	}
}

type numbered struct {
	cue    *show.Cue
	number float64
}

// rising tells which cues are of a longest list of rising numbers.
func rising(list []numbered) []bool {
	length, before := make([]int, len(list)), make([]int, len(list))
	ends := []int{} // by length, the cue of the least number that such a list ends with
	for i, c := range list {
		at := sort.Search(len(ends), func(k int) bool { return list[ends[k]].number > c.number })
		length[i], before[i] = at+1, -1
		if at > 0 {
			before[i] = ends[at-1]
		}
		ends = append(ends[:at], append([]int{i}, ends[min(at+1, len(ends)):]...)...)
	}
	keeps := make([]bool, len(list))
	for i := slices.Index(length, len(ends)); i >= 0; i = before[i] { // of several as long, the one that is so first
		keeps[i] = true
	}
	return keeps
}

// beside says between which cues one comes that are in order.
func beside(list []numbered, keeps []bool, i int) string {
	for k := i - 1; k >= 0; k-- {
		if keeps[k] {
			return "after cue " + list[k].cue.Number.Name
		}
	}
	for k := i + 1; k < len(list); k++ {
		if keeps[k] {
			return "before cue " + list[k].cue.Number.Name
		}
	}
	return "out of order"
}

// Of a fade that the next cue takes over, less than this share done is told as a warning. This
// tool's choice: by then neither look was seen.
const cutShort = .75

// cut finds fades that the next cue takes over before they are done.
func (r *limits) cut() {
	for i := range r.Show.Cues {
		c := &r.Show.Cues[i]
		takes := max(c.Up, c.Falls())
		until := r.Until(i)
		if c.Bump() || takes < accent || until >= c.Start+takes || until <= c.Start {
			continue // one that is never seen is told as that
		}
		done := float64(until-c.Start) / float64(takes)
		if done >= cutShort {
			continue
		}
		f := r.cue(c).As("fade-cut", finding.Warn, "the fade of cue %s takes %s, and the next cue takes over after %s", c.Number, si.Say(takes.Seconds(), "s"), si.Say((until-c.Start).Seconds(), "s"))
		f.Value, f.Limit, f.Unit = (until - c.Start).Seconds(), takes.Seconds(), "s"
		f.Cure = finding.Say("a shorter up, or a later cue; where it is meant, let it be")
		r.Add(f)
	}
}

// flashesInto finds looks that flash and stand from before a calm span into it.
func (r *limits) flashesInto(i int, span *score.Span) bool {
	c := &r.Show.Cues[i]
	return !c.Bump() && c.Start < span.From && r.Until(i) > span.From+time.Millisecond && r.flashes(c.Look)
}
