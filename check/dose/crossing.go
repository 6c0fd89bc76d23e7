package dose

import (
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
		t := r.Trace().Cut(stay.From, stay.To)
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
