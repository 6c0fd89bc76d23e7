package flash

import (
	"cmp"
	"slices"
	"time"
)

// Spot is one piece of what an eye sees.
type Spot struct {
	Area    float64 // in the unit of the limit that Union gets
	Flashes []Flash
}

// Event is a flash of all spots that began together.
type Event struct {
	At    time.Duration
	Area  float64
	Spots []int // indexes, ascending
}

// Train is a lamp that flashes by itself.
type Train struct {
	From, To time.Duration
	Rate     float64 // Hz, the upper end of what is believed
	Source   int     // for the caller
}

// Window is the worst second.
type Window struct {
	From   time.Duration
	Count  int
	Events []Event // those in it
	Trains []Train // those that overlap it
}

// Union merges the flashes of the spots that begin with a rise (up) or a fall into
// events of more than the given area. A window of 20 ms slides over the leading edges
// in order of time. held counts those of each spot inside it, so that a spot that
// flashes twice in 20 ms adds its area once. When the area inside exceeds the limit the
// window is an event, and all edges in it are used up; else its first edge drops out.
//
// Invariant: sum is the area of the spots with held > 0, over leads[start:end]. The
// slack of 1e-9 keeps an area that equals the limit, but for rounding, from exceeding
// it.
func Union(spots []Spot, up bool, area float64) []Event {
	type lead struct {
		at   time.Duration
		spot int
	}
	var leads []lead
	for i := range spots {
		for _, f := range spots[i].Flashes {
			if f.Up == up {
				leads = append(leads, lead{f.At, i})
			}
		}
	}
	slices.SortFunc(leads, func(a, b lead) int {
		if a.at != b.at {
			return int(a.at - b.at)
		}
		return a.spot - b.spot
	})
	var out []Event
	held := make([]int, len(spots)) // how many leads of each spot are inside
	sum, end := 0.0, 0
	for start := 0; start < len(leads); {
		for ; end < len(leads) && leads[end].at-leads[start].at <= Together; end++ {
			if s := leads[end].spot; held[s] == 0 {
				sum += spots[s].Area
			}
			held[leads[end].spot]++
		}
		next := start + 1
		if sum > area*(1+1e-9) {
			e := Event{At: leads[start].at, Area: sum}
			for i := start; i < end; i++ {
				e.Spots = append(e.Spots, leads[i].spot)
			}
			slices.Sort(e.Spots)
			e.Spots = slices.Compact(e.Spots)
			out = append(out, e)
			next = end
		}
		for ; start < next; start++ {
			s := leads[start].spot
			if held[s]--; held[s] == 0 {
				sum -= spots[s].Area
			}
		}
		if start == end {
			sum = 0 // so that rounding does not build up
		}
	}
	return out
}

// Worst returns the second with the most flashes, the earliest of them. Events are by
// time. The count can only grow as the second's start moves on to an event or to a
// train's begin, or where a train ends with it, so those starts are all that need be
// tried.
func Worst(events []Event, trains []Train) Window {
	starts := make([]time.Duration, 0, len(events)+2*len(trains))
	for _, e := range events {
		starts = append(starts, e.At)
	}
	for _, t := range trains {
		// The second that ends with a train may hold more before it.
		starts = append(starts, t.From, t.To-Second)
	}
	slices.Sort(starts)
	starts = slices.Compact(starts)
	trains = slices.Clone(trains)
	slices.SortFunc(trains, func(a, b Train) int { return cmp.Or(cmp.Compare(a.From, b.From), cmp.Compare(a.Source, b.Source)) })
	var best Window
	var running []Train
	first, begun := 0, 0
	for _, from := range starts {
		for first < len(events) && events[first].At < from {
			first++
		}
		last := first
		for last < len(events) && events[last].At-from < Second-Grain {
			last++
		}
		for ; begun < len(trains) && trains[begun].From < from+Second; begun++ {
			running = append(running, trains[begun])
		}
		running = slices.DeleteFunc(running, func(t Train) bool { return t.To <= from })
		n := last - first
		for _, t := range running {
			n += t.edges(from)
		}
		if n > best.Count {
			best = Window{From: from, Count: n, Events: events[first:last], Trains: slices.Clone(running)}
		}
	}
	return best
}

// edges returns the most leading edges that any phase of the train puts into
// the second from the given instant.
func (t Train) edges(from time.Duration) int {
	inside := min(t.To, from+Second) - max(t.From, from)
	if inside <= 0 || t.Rate <= 0 {
		return 0
	}
	n := t.Rate * inside.Seconds()
	whole := int(n)
	if n-float64(whole) > 1e-6 {
		whole++
	}
	return whole
}

// Longest returns the longest unbroken run of events and trains in which the
// leading edges are no farther apart than gap.
func Longest(events []Event, trains []Train, gap time.Duration) (from, to time.Duration) {
	type span struct{ from, to time.Duration }
	var spans []span
	for _, e := range events {
		spans = append(spans, span{e.At, e.At})
	}
	for _, t := range trains {
		if t.Rate >= 1/gap.Seconds() {
			spans = append(spans, span{t.From, t.To})
		}
	}
	slices.SortFunc(spans, func(a, b span) int { return int(a.from - b.from) })
	var run span
	for i, s := range spans {
		if i == 0 || s.from-run.to > gap {
			run = s
		}
		run.to = max(run.to, s.to)
		if run.to-run.from > to-from {
			from, to = run.from, run.to
		}
	}
	return from, to
}

// Count returns the worst second of the spots, with those trains that a caller
// has found to be large enough. Area is in the unit of the spots' areas; a
// flash must exceed it.
func Count(spots []Spot, trains []Train, area float64) Window {
	rises := Worst(Union(spots, true, area), trains)
	falls := Worst(Union(spots, false, area), trains)
	if falls.Count > rises.Count {
		return falls
	}
	return rises
}
