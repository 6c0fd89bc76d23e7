package soundtrack

import (
	"slices"
	"time"
)

// Track is what was heard in one soundtrack.
type Track struct {
	Duration time.Duration
	Rate     int // Hz
	Channels int
	Hash     string // SHA-256 of the file's bytes in hex; empty when a bare stream was analysed

	Moments []Moment // by time, then kind

	Loudness  Curve   // momentary (400 ms), LUFS, -120 where there is nothing
	ShortTerm Curve   // short-term (3 s), LUFS
	Programme float64 // integrated loudness, LUFS, -120 when nothing passes the gates
	Range     float64 // loudness range, LU
	Tempo     []TempoSpan
	// Hypotheses are the ways to count the track, the likeliest first; the
	// beats and bars among Moments follow the first, or that which the
	// options ask for. Empty where there is no steady beat.
	Hypotheses []Beats
	Overview   Overview
	Bands      [3]Curve // power in each range of the overview, dB re a full-scale sine, -91 where there is nothing
	Centre     Curve    // spectral centre, Hz; 0 where there is nothing to hear

	Notes []string // what was wrong with the file but could be read past
}

// Curve is a value over time; Values[i] belongs to i·Hop, the centre of what
// was measured.
type Curve struct {
	Hop    time.Duration
	Values []float32
}

// At returns the value nearest to t, or floor where there is none.
func (c Curve) At(t time.Duration, floor float32) float32 {
	if len(c.Values) == 0 || c.Hop <= 0 {
		return floor
	}
	i := int((t + c.Hop/2) / c.Hop)
	return c.Values[min(max(i, 0), len(c.Values)-1)]
}

// Overview is the track in a form that is quick to draw: for each instant
// i·Hop the level of the loudest band in each of three ranges, in even steps of
// decibels from 0 (-90 dB re a full-scale sine, or less) to 255 (full scale).
type Overview struct {
	Hop            time.Duration
	Low, Mid, High []uint8 // below 200 Hz, to 2 kHz, above
}

// Nearest returns the moment of a kind that is closest to at, if one is
// within reach.
func (t *Track) Nearest(kind Kind, at, within time.Duration) (Moment, bool) {
	best, found := Moment{}, false
	for _, m := range t.Moments {
		if d := (m.Time - at).Abs(); m.Kind == kind && d <= within && (!found || d < (best.Time-at).Abs()) {
			best, found = m, true
		}
	}
	return best, found
}

// Of returns the moments of one kind by time.
func (t *Track) Of(kind Kind) []Moment {
	var ms []Moment
	for _, m := range t.Moments {
		if m.Kind == kind {
			ms = append(ms, m)
		}
	}
	return ms
}

// Hits returns all hits by time.
func (t *Track) Hits() []Moment { return t.Of(Hit) }

// Ranked returns the n hits most worth lighting, the first to be lit first;
// all of them when n is negative or larger than their number.
func (t *Track) Ranked(n int) []Moment {
	hits := t.Hits()
	slices.SortStableFunc(hits, func(a, b Moment) int { return a.Rank - b.Rank })
	if n >= 0 && n < len(hits) {
		hits = hits[:n]
	}
	return hits
}
