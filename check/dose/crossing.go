package dose

import (
	"sort"
	"time"

	"lampblack/check/subject"
	"lampblack/room"
	"lampblack/show"
)

// crossing is the exposure of somebody who crosses: stretch by stretch, each drive counted as
// at that end of the stretch where the eye takes more of it.
func (r *limits) crossing(e int, sense room.Sense, stays []show.Stay) Exposure {
	var x Exposure
	t := r.Trace()
	type span struct {
		from, to time.Duration
		peak     float64
	}
	var spans []span
	for _, stay := range stays {
		low, most := make([]float64, len(r.Rig().Drives)), make([]float64, len(r.Rig().Drives))
		for i, tr := range stay.Ends {
			gaze, turned := rowsAt(tr, e, sense)
			for d := range most {
				most[d] = max(most[d], turned[d])
				if i == 0 || gaze[d] < low[d] {
					low[d] = gaze[d]
				}
			}
		}
		spread := stay.Ends[0].Spread
		over(t, stay.From, stay.To, func(from, to time.Duration, a, b []float32) {
			half := (to - from).Seconds() / 2
			first, last := 0.0, 0.0
			for d, v := range most {
				if v == 0 {
					continue
				}
				first += v * float64(a[d])
				last += v * float64(b[d])
				x.Low += low[d] * spread[d].Low * half * (float64(a[d]) + float64(b[d]))
			}
			x.Most += half * (first + last)
			for _, p := range []struct {
				at time.Duration
				is float64
			}{{from, first}, {to, last}} {
				if p.is > x.Peak {
					x.Peak, x.PeakAt = p.is, p.at
				}
			}
			spans = append(spans, span{from, to, max(first, last)})
		})
	}
	for _, s := range spans {
		if s.peak > x.Peak/100 && x.Peak > 0 {
			x.On += s.to - s.from
		}
	}
	return x
}

// over calls f for every straight piece of a trace between two instants, with the levels at its
// ends; what the trace leaves out stands as it was.
func over(t *subject.Trace, from, to time.Duration, f func(from, to time.Duration, a, b []float32)) {
	first := sort.Search(len(t.Times), func(i int) bool { return t.Times[i] > from })
	for v := max(first, 1); v < len(t.Times) && t.Times[v-1] < to; v++ {
		a, b := max(t.Times[v-1], from), min(t.Times[v], to)
		if b > a {
			f(a, b, between(t, v, a), between(t, v, b))
		}
	}
}

// between are the levels at an instant in the piece of the trace that ends at corner v.
func between(t *subject.Trace, v int, at time.Duration) []float32 {
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
