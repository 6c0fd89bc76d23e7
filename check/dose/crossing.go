package dose

import (
	"sort"
	"time"

	"lampblack/check/subject"
	"lampblack/room"
)

// stretch is a while in which an eye is at one place, or on the way between two.
type stretch struct {
	trace     *subject.Trace
	integrals []float64         // of each drive's level over it, in s
	ends      []*room.Transport // with the eye at its ends; one where it stands
}

// stretches are those of an eye (an index in Transport.Eyes), one after another: all of the
// show for who stays. They are found once.
func (r *limits) stretches(e int) []stretch {
	if r.ways[e] != nil {
		return r.ways[e]
	}
	drives := len(r.Rig().Drives)
	for _, stay := range r.Stays(e) {
		t := cut(r.Trace(), stay.From, stay.To)
		r.ways[e] = append(r.ways[e], stretch{t, integrals(t, drives), stay.Ends})
	}
	if r.ways[e] == nil {
		r.ways[e] = []stretch{{r.Trace(), r.integrals, []*room.Transport{r.Transport()}}}
	}
	return r.ways[e]
}

// rows are what an eye takes along its gaze for each drive at full, and the most whichever way it
// turns with the lamps at their upper end, at that end of the stretch where it takes less, and
// more. Glow of objects is in the gaze alone; the eye that turns sees it too.
func (s *stretch) rows(e int, sense room.Sense) (gaze, most []float64) {
	for i, tr := range s.ends {
		g, m := tr.Row(tr.Eyes[e], sense), tr.MostRow(e, sense)
		for d := range m {
			m[d] = max(m[d], g[d]) * tr.Spread[d].High
			if i > 0 {
				g[d], m[d] = min(g[d], gaze[d]), max(m[d], most[d])
			}
		}
		gaze, most = g, m
	}
	return gaze, most
}

// cut is a trace from one instant to another.
func cut(t *subject.Trace, from, to time.Duration) *subject.Trace {
	out := &subject.Trace{}
	first := sort.Search(len(t.Times), func(i int) bool { return t.Times[i] > from })
	for v := max(first, 1); v < len(t.Times) && t.Times[v-1] < to; v++ {
		a, b := max(t.Times[v-1], from), min(t.Times[v], to)
		if b > a {
			out.Times = append(out.Times, a, b)
			out.Levels = append(out.Levels, levelsAt(t, v, a), levelsAt(t, v, b))
		}
	}
	return out
}

// levelsAt are the levels at an instant in the piece of the trace that ends at corner v.
func levelsAt(t *subject.Trace, v int, at time.Duration) []float32 {
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
