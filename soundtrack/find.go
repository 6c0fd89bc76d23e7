package soundtrack

import (
	"cmp"
	"slices"
	"time"
)

// find turns what was heard into moments. Order matters: beats are put onto hits, turns
// onto hits and bars, swells and voices onto turns, and a hush amid speech is none; last,
// hits are weighed by where bars and sections open.
func find(h *heard, o Options) *Track {
	t := &Track{
		Duration: h.duration(), Rate: h.Rate, Channels: h.Channels,
		Loudness:  Curve{hop, sliding(h.Power, 40)},
		ShortTerm: Curve{10 * hop, every(sliding(h.Power, 300), 10)},
		Notes:     h.Notes,
		Programme: programmeLoudness(h.Power),
		Range:     loudnessRange(h.Power),
		Overview:  Overview{2 * hop, h.Level[0], h.Level[1], h.Level[2]},
		Bands:     [3]Curve{{2 * hop, inDecibels(h.Loud[0])}, {2 * hop, inDecibels(h.Loud[1])}, {2 * hop, inDecibels(h.Loud[2])}},
		Centre:    Curve{2 * hop, inHertz(h.Centre)},
	}
	peaks := chosen(h.Peaks, cmp.Or(o.LeastSure, enoughScore))
	t.Hypotheses = hypotheses(h, peaks)
	if b, ok := o.count(t.Hypotheses); ok {
		t.Moments = append(t.Moments, b.moments()...)
		t.Tempo = b.spans(t.Duration)
	} else {
		t.Tempo = []TempoSpan{{To: t.Duration}}
	}
	turned := turns(sections(h), peaks, t.openings())
	spoken := voices(h, turned)
	t.Moments = append(t.Moments, turned...)
	t.Moments = append(t.Moments, spoken...)
	t.Moments = append(t.Moments, swells(h.Power, t.Programme, turned)...)
	t.Moments = append(t.Moments, withoutPauses(hushes(h.Power, t.Programme, cmp.Or(o.ShortestHush, shortestHush)), spoken)...)
	t.Moments = append(t.Moments, hits(h, peaks, t.Programme, t.openings())...)
	for i := range t.Moments {
		// Curves are counted in whole hops, the last of which may reach past
		// the end of the sound.
		t.Moments[i].End = min(t.Moments[i].End, t.Duration)
	}
	sortMoments(t.Moments)
	return t
}

// count returns the hypothesis that the options ask for, or the first.
func (o Options) count(all []Beats) (Beats, bool) {
	for _, b := range all {
		if b.Name == o.Count {
			return b, true
		}
	}
	if len(all) == 0 {
		return Beats{}, false
	}
	return all[0], true
}

// openings returns the times at which bars and sections open, in order.
func (t *Track) openings() []time.Duration {
	var out []time.Duration
	for _, m := range t.Moments {
		if m.Kind == Bar || m.Kind == Turn {
			out = append(out, m.Time)
		}
	}
	slices.Sort(out)
	return out
}

// every takes each n-th value, the first among them.
func every(x []float32, n int) []float32 {
	var out []float32
	for i := 0; i < len(x); i += n {
		out = append(out, x[i])
	}
	return out
}
