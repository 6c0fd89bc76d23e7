package retime

import (
	"fmt"
	"slices"
	"time"

	"lampblack/score"
	"lampblack/show"
	"lampblack/soundtrack"
	"lampblack/soundtrack/retake"
)

// Heard is what was heard of both takes. Old is asked for only where a cue is on a
// counted bar: all else carries a time. A bar counts from the beginning of a take, so
// the same number means another time after an edit.
type Heard struct {
	Old func() (*soundtrack.Track, error)
	New *soundtrack.Track
}

// Options lets Move go by what was heard.
func (h Heard) Options() Options { return Options{Moment: h.moment, Anchor: h.anchor} }

// moment gives the old take's time of an anchor. Anchors of other kinds carry the time
// near which they were looked for; the moment itself lies within a second of it
// (show.Find), and both move alike.
func (h Heard) moment(a score.Anchor) (time.Duration, error) {
	if a.Kind != "bar" {
		return a.Near, nil
	}
	old, err := h.Old()
	if err != nil {
		return 0, fmt.Errorf("what is on %v cannot be placed without the old soundtrack: %w", a, err)
	}
	m, ok := show.Find(old, &a)
	if !ok {
		return 0, fmt.Errorf("the old soundtrack has no %v", a)
	}
	return m.Time, nil
}

// anchor names a moment of the new take at a time, as the old one was named.
func (h Heard) anchor(a score.Anchor, at time.Duration) (score.Anchor, bool) {
	if a.Kind == "bar" {
		return h.bar(at)
	}
	a.Near = at
	_, heard := show.Find(h.New, &a)
	return a, heard
}

// nearBar is how near to a time a beat of the new take counts as the one that
// the map means: the two takes' beats are each heard to some 20 ms.
const nearBar = 80 * time.Millisecond

// bar names the beat that the new take has at a time. The first in time within reach is
// taken; beats are farther apart than twice the reach.
func (h Heard) bar(at time.Duration) (score.Anchor, bool) {
	for _, m := range h.New.Moments {
		if m.Bar > 0 && (m.Time-at).Abs() <= nearBar {
			return score.Anchor{Kind: "bar", Bar: m.Bar, Beat: max(m.Beat, 1)}, true
		}
	}
	return score.Anchor{}, false
}

// Fresh lists the strongest hits of what is new in the take, at most so many.
func (h Heard) Fresh(m retake.Map, most int) []soundtrack.Moment {
	var out []soundtrack.Moment
	for _, moment := range h.New.Ranked(-1) {
		isNew := slices.ContainsFunc(m.Added, func(i retake.Interval) bool { return moment.Time >= i.From && moment.Time < i.To })
		if isNew && len(out) < most {
			out = append(out, moment)
		}
	}
	return out
}
