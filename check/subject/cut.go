package subject

import (
	"slices"
	"sort"
	"time"

	"lampblack/room"
)

// Cut is the trace from one instant to another, without its slots. It shares what it can with t.
func (t *Trace) Cut(from, to time.Duration) *Trace {
	out := &Trace{}
	first := sort.Search(len(t.Times), func(i int) bool { return t.Times[i] > from })
	for v := max(first, 1); v < len(t.Times) && t.Times[v-1] < to; v++ {
		a, b := max(t.Times[v-1], from), min(t.Times[v], to)
		if b > a {
			out.Times = append(out.Times, a, b)
			out.Levels = append(out.Levels, t.levelsAt(v, a), t.levelsAt(v, b))
			if len(t.Rates) > 0 {
				out.Rates = append(out.Rates, t.Rates[v-1], t.Rates[v-1])
			}
		}
	}
	return out
}

// levelsAt are the levels at an instant in the piece of the trace that ends at corner v.
func (t *Trace) levelsAt(v int, at time.Duration) []float32 {
	from, to := t.Times[v-1], t.Times[v]
	switch at {
	case from:
		return t.Levels[v-1]
	case to:
		return t.Levels[v]
	}
	share := float32(float64(at-from) / float64(to-from))
	out := make([]float32, len(t.Levels[v]))
	for d, a := range t.Levels[v-1] {
		out[d] = a + share*(t.Levels[v][d]-a)
	}
	return out
}

// Setting is a way in which the room stands, and when it stands so, or is on the way from or to it.
type Setting struct {
	Room  *room.Transport
	Spans [][2]time.Duration // in order and apart
}

// Settings lists them, each once; one that lasts from the beginning to the end for a room in which
// nothing opens, comes or goes.
func Settings(s Subject) []Setting {
	var out []Setting
	for _, one := range s.Standings() {
		for _, t := range one.Ends {
			i := slices.IndexFunc(out, func(s Setting) bool { return s.Room == t })
			if i < 0 {
				i = len(out)
				out = append(out, Setting{Room: t})
			}
			out[i].Spans = joined(out[i].Spans, one.From, one.To)
		}
	}
	return out
}

// In lists the ways in which the room stands at any time from one instant to another.
func In(s []Setting, from, to time.Duration) []*room.Transport {
	var out []*room.Transport
	for i := range s {
		if s[i].within(from, to) {
			out = append(out, s[i].Room)
		}
	}
	return out
}

// At tells whether the room stands so at an instant.
func (s *Setting) At(t time.Duration) bool { return s.within(t, t) }

func (s *Setting) within(from, to time.Duration) bool {
	return slices.ContainsFunc(s.Spans, func(span [2]time.Duration) bool { return span[0] <= to && span[1] >= from })
}
