package subject

import (
	"sort"
	"time"
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
