package cues

import (
	"cmp"
	"fmt"
	"slices"
	"time"

	"lampblack/check/finding"
	"lampblack/score"
	"lampblack/show"
	"lampblack/si"
	"lampblack/soundtrack"
)

// Bounds of sync. A hit's light may come before its sound by one bound and
// after it by the other: ATSC IS-191 wants sound no more than 45 ms late (from
// memory); light 20 ms late is a design target of this tool for percussive
// hits, inside the 45 ms that viewers detect (ITU-R BT.1359-1).
const (
	lightEarly = 45 * time.Millisecond
	lightLate  = 20 * time.Millisecond
	// A cue this near to a hit is meant for it; common practice, no source: two hits of
	// a bar at 100 beats a minute are 600 ms apart, so no cue is near to both.
	nearHit = 300 * time.Millisecond
	// A change quicker than this is an accent, which is seen as one instant; slower
	// ones have no instant to hold against a hit. This tool's choice.
	accent = 500 * time.Millisecond
	// Of strength, 0 to 1, as package soundtrack gives it: below it are ghost notes and
	// rustle that nobody would place a cue on. This tool's choice.
	strongHit = .3
)

const syncSource = "ATSC IS-191: sound at most 45 ms late (from memory); light 20 ms late is this tool's design target"

// landings compares accents with the strong hits.
func (r *limits) landings() {
	hits := StrongHits(r.Show.Track)
	for i := range r.Show.Cues {
		r.landing(&r.Show.Cues[i], hits)
	}
}

// unreached looks at every cue; see reached for what makes one unseen.
func (r *limits) unreached() {
	for i := range r.Show.Cues {
		r.reached(i)
	}
}

// cue begins a finding about a cue: its place, its line in the score, its span.
func (r *limits) cue(c *show.Cue) finding.Finding {
	return finding.Finding{Place: finding.Thing("cue", c.Number.Name), Cues: []string{c.Number.Name}, Source: "common practice"}.
		At(c.Pos).During(c.Start, max(c.Complete, c.Start))
}

// landing compares an accent's landing with its moment. A cue that is tied to a moment
// lands on it by definition, whatever the score's text says of the time; what is told
// is that the moment lies more than 100 ms from the time written there, so that another
// one may have been meant (common practice, no source: two hits of a fill are about
// that far apart). A cue at a bare time is held against the strong hit near it. Farther
// than nearHit from any, or of a slow fade, nothing is said.
func (r *limits) landing(c *show.Cue, hits []soundtrack.Moment) {
	if c.On != nil {
		if c.Found && c.OffBy.Abs() > 100*time.Millisecond {
			f := r.cue(c).As("cue-off", finding.Warn, "cue %s is on %s, and the nearest such moment is at %s", c.Number, c.On, si.FormatTime(c.Moment))
			f.Value, f.Limit, f.Unit = ms(c.OffBy.Abs()), 100, "ms"
			f.Cure = finding.Say("if that is the one, write on: %s %s", c.On.Kind, si.FormatTime(c.Moment))
			r.Add(f)
		}
		return
	}
	if min(c.Up, c.Falls()) > accent {
		return
	}
	hit, ok := MeantFor(hits, c.Moment)
	if !ok {
		return
	}
	off := c.Moment + c.Delay - hit.Time // after the hit
	if off <= lightLate && -off <= lightEarly {
		return
	}
	f := r.cue(c).As("cue-off", finding.Warn, "cue %s lands %s the hit at %s", c.Number, beforeOrAfter(off), si.FormatTime(hit.Time))
	f.Value, f.Limit, f.Unit = ms(off.Abs()), ms(lightLate), "ms"
	if off < 0 {
		f.Limit = ms(lightEarly)
	}
	f.Source = syncSource
	f.Cure = finding.Say("write on: hit %s", si.FormatTime(hit.Time))
	r.Add(f)
}

func ms(d time.Duration) float64 { return float64(d) / float64(time.Millisecond) }

func beforeOrAfter(d time.Duration) string {
	if d < 0 {
		return fmt.Sprintf("%.0f ms before", ms(-d))
	}
	return fmt.Sprintf("%.0f ms after", ms(d))
}

// MeantFor returns the hit that a cue at t is most likely meant for: the nearest of the
// strong ones, the earlier of two as near. Hits are sorted by time, so only the two
// around t can be the nearest.
func MeantFor(hits []soundtrack.Moment, t time.Duration) (soundtrack.Moment, bool) {
	i, _ := slices.BinarySearchFunc(hits, t, func(m soundtrack.Moment, t time.Duration) int { return cmp.Compare(m.Time, t) })
	best, found := soundtrack.Moment{}, false
	for _, m := range hits[max(i-1, 0):min(i+1, len(hits))] {
		if d := (m.Time - t).Abs(); d <= nearHit && (!found || d < (best.Time-t).Abs()) {
			best, found = m, true
		}
	}
	return best, found
}

// StrongHits lists the strong hits of a soundtrack by time.
func StrongHits(track *soundtrack.Track) []soundtrack.Moment {
	if track == nil {
		return nil
	}
	var out []soundtrack.Moment
	for _, m := range track.Moments {
		if m.Kind == soundtrack.Hit && m.Strength >= strongHit {
			out = append(out, m)
		}
	}
	slices.SortStableFunc(out, func(a, b soundtrack.Moment) int { return cmp.Compare(a.Time, b.Time) })
	return out
}

// waitsInSilence tells whether the piece waits after its soundtrack has ended, so that what
// comes then is meant to.
func (r *limits) waitsInSilence() bool {
	return slices.ContainsFunc(r.Show.Score.Waits, func(w score.Wait) bool { return !w.Repeats() && w.Place() >= r.Show.Track.Duration })
}

// reached finds cues that nobody will see: before the beginning, after the end, or
// overtaken at once by another. A bump is never overtaken, since it falls back to
// whatever stands by then; and one finding is enough, so the first cue that replaces it
// at the same instant ends the search. The first cue is never held against the end of
// the sound.
func (r *limits) reached(i int) {
	c := &r.Show.Cues[i]
	if c.Start < 0 {
		f := r.cue(c).As("cue-unreached", finding.Warn, "cue %s would have to start %s before the beginning to land in time", c.Number, si.FormatTime(-c.Start))
		f.Value, f.Unit, f.From = -c.Start.Seconds(), "s", 0
		f.Cure = finding.Say("take a shorter up, or a longer leader before the sound")
		r.Add(f)
	}
	if t := r.Show.Track; t != nil && c.Start >= t.Duration && i > 0 && !r.waitsInSilence() {
		f := r.cue(c).As("cue-unreached", finding.Warn, "cue %s starts after the soundtrack has ended", c.Number)
		f.Value, f.Limit, f.Unit = c.Start.Seconds(), t.Duration.Seconds(), "s"
		r.Add(f)
	}
	if c.Bump() {
		return
	}
	for j := i + 1; j < len(r.Show.Cues); j++ {
		next := &r.Show.Cues[j]
		if next.Start > c.Start {
			return
		}
		if !next.Bump() {
			r.Add(r.cue(c).As("cue-unreached", finding.Warn, "cue %s is replaced by cue %s at the same instant and is never seen", c.Number, next.Number))
			return
		}
	}
}

// density finds the minute with the most cues. A window of 60 s slides along the cues,
// which are sorted by start; first is the earliest cue inside the window that ends at
// cue i. The first of several equal minutes is told.
func (r *limits) density() {
	most := r.Show.Score.Brief.PerMinute
	if most <= 0 {
		return
	}
	first, best, at := 0, 0, 0
	for i := range r.Show.Cues {
		for r.Show.Cues[i].Start-r.Show.Cues[first].Start >= time.Minute {
			first++
		}
		if n := i - first + 1; n > best {
			best, at = n, first
		}
	}
	if float64(best) <= most {
		return
	}
	from := r.Show.Cues[at].Start
	f := finding.Finding{ID: "cue-density", Severity: finding.Warn, Place: "cue list", Value: float64(best), Limit: most, Unit: "cues a minute",
		Says: finding.Say("%d cues start in the minute from %s on", best, si.FormatTime(from)), Source: "the show's own brief",
		Cure: finding.Say("does each cue earn its place?")}
	for i := at; i < at+best; i++ {
		f.Cues = append(f.Cues, r.Show.Cues[i].Number.Name)
	}
	r.Add(f.At(r.Show.Score.Brief.Pos).During(from, from+time.Minute))
}

// calm finds flashes, bumps and snaps in spans that want none. A cue is inside when it
// starts in the span, or when it is a bump that still returns there; a fade that began
// before runs on undisturbed, but a look that flashes does not. The gravest thing is told of each: that it flashes, then
// that it is a bump, then that it is quicker than an accent.
func (r *limits) calm() {
	for i := range r.Show.Cues {
		c := &r.Show.Cues[i]
		for _, span := range r.Show.Score.Calm {
			into := r.flashesInto(i, &span)
			if !into && (c.Start >= span.To || c.Complete < span.From || c.Start < span.From && !c.Bump()) {
				continue
			}
			what := ""
			switch {
			case into:
				what = "goes on flashing"
			case r.flashes(c.Look):
				what = "flashes"
			case c.Bump():
				what = "is a bump"
			case c.Start >= span.From && min(c.Up, c.Falls()) < accent:
				what = "is a snap"
			default:
				continue
			}
			f := r.cue(c).As("cue-calm", finding.Warn, "cue %s %s inside the calm span %s to %s", c.Number, what, si.FormatTime(span.From), si.FormatTime(span.To))
			f.Says = f.Says.And("%s", because(span.Why))
			f.Source = "the show's own score"
			r.Add(f)
		}
	}
}

func because(why string) string {
	if why == "" {
		return ""
	}
	return " (" + why + ")"
}

// flashes tells whether a look has a unit strobe by itself.
func (r *limits) flashes(look int) bool {
	for _, f := range r.Show.Looks[look].Flash {
		if f > 0 {
			return true
		}
	}
	return false
}

const centreSeat = "centre seat"

// seats works out how light and sound meet at the centre seat and the back one, from
// the delays that the show states. The two are the nearest and the farthest that
// matter: at the centre seat the run's offset is meant to cancel the sound's way, and
// at the back the sound comes later by the distance over the speed of sound. Delays are
// intervals, so what counts is their worst end. A show that states no delays is told
// nothing here.
func (r *limits) seats() {
	t := r.Bill().Timing
	if t == (show.Timing{}) || len(r.Show.Cues) == 0 {
		return
	}
	for _, seat := range []struct {
		name string
		far  si.Length
	}{{centreSeat, t.Speaker}, {"back seat", t.Back}} {
		if seat.far <= 0 {
			continue
		}
		lead := t.Budget(seat.far, t.Offset()).Lead()
		late, early := -lead.Low, lead.High // light after sound and before it, at worst
		r.meeting(seat.name, seat.far, early, late)
	}
}

// meeting tells how far light and sound of a hit are apart at a seat. The order of the
// cases is that of gravity: light too late is seen first, as nature never does that;
// too early next; the design target of 0 to 40 ms is a note, and only for the centre
// seat, since one offset cannot serve two distances.
func (r *limits) meeting(seat string, far si.Length, early, late time.Duration) {
	f := finding.Finding{ID: "cue-seat", Severity: finding.Warn, Place: seat, Unit: "ms", Low: ms(-early), High: ms(late),
		Source:  syncSource,
		Assumed: fmt.Sprintf("sound travels %v at %v m/s; the delays that the show states; a run sends light %v ahead of the sound, for the centre seat", far, show.SpeedOfSound, -r.Bill().Timing.Offset())}
	switch {
	case late > lightLate:
		f.Value, f.Limit = ms(late), ms(lightLate)
		f.Says = finding.Say("at the %s the light of a hit comes up to %.0f ms after its sound", seat, f.Value)
		f.Cure = finding.Say("narrow the delays: a steadier sound path, units without smoothing")
	case early > lightEarly:
		f.Value, f.Limit = ms(early), ms(lightEarly)
		f.Says = finding.Say("at the %s the light of a hit comes up to %.0f ms before its sound", seat, f.Value)
		f.Cure = finding.Say("narrow the delays: a steadier sound path, units without smoothing")
	case seat == centreSeat && (late > show.LeastLead || early > show.MostLead):
		f.Severity = finding.Note
		f.Value, f.Limit = ms(max(late, early-show.MostLead)), 0
		f.Says = finding.Say("at the %s light leads the sound of a hit by %.0f to %.0f ms, not by 0 to 40 ms", seat, ms(-late), ms(early))
		f.Source, f.Cure = "design target: light leads by 0 to 40 ms", finding.Say("narrow the delays: a steadier sound path, units without smoothing")
	default:
		return
	}
	r.Add(f.At(r.Bill().Timing.Pos))
}
