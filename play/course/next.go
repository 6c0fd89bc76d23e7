package course

import "time"

// Next is the next instant at which something happens to the zone by itself, as far as
// is known now and its clock goes on as it does; ok is false when nothing will. Whoever
// lets time leap calls Tick then, and not before.
func (z *Zone) Next(now time.Time) (instant time.Time, ok bool) {
	if z.over || z.failed != nil {
		return instant, false
	}
	state := z.log.State()
	switch {
	case state.LightsUp:
		return instant, false
	case z.last != stay:
		return now, true
	case state.Held:
		return instant, false
	}
	earliest := func(t time.Time) {
		if !ok || t.Before(instant) {
			instant, ok = t, true
		}
	}
	if d := time.Duration(z.Stay); z.Repeats && d > 0 && z.index > 0 && !z.left.IsZero() {
		earliest(z.left.Add(d))
	}
	at := z.clock.Read(now).Position
	if i := z.show.CueAt(at); i != z.cue {
		return now, true
	} else if i+1 < len(z.show.Cues) {
		earliest(now.Add(z.show.Cues[i+1].Start - at))
	}
	switch t, by := z.releases(now, at); {
	case by:
		earliest(t)
	case z.Step().Stands():
	case z.open():
		if w := z.wait(); at < w.Begins-w.Span() {
			earliest(now.Add(w.Begins - w.Span() - at))
		}
	default:
		earliest(now.Add(z.show.Length - at))
	}
	if ok && instant.Before(now) { // as a time of day that has passed
		instant = now
	}
	return instant, ok
}
