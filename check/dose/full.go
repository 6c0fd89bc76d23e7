package dose

import (
	"time"

	"lampblack/check/finding"
	"lampblack/si"
)

// longestDay is the longest that shows and rehearsal of one day may take: whoever works them sleeps 8 h (common
// practice, no source).
const longestDay = 16 * time.Hour

// full finds days that have not the hours for what is to be held on them. Each show lasts as long as it usually
// does: doses by the day are wrong where so many are never held.
func (r *limits) full() {
	each := r.usual()
	for i := range r.Bill().Days {
		d := &r.Bill().Days[i]
		takes := time.Duration(d.Shows)*each + time.Duration(d.Rehearsal)
		if takes <= longestDay {
			continue
		}
		r.Add(finding.Finding{ID: "day-full", Severity: finding.Warn, Place: finding.Thing("day", d.Name), Value: takes.Hours(), Limit: longestDay.Hours(), Unit: "h", Source: "common practice, no source: who works a day sleeps 8 h of it",
			Says: finding.Say("%s of %s and %s of rehearsal are %s on %s: no day of people holds them", si.Count(d.Shows, "show", "shows"), si.Of(each.Minutes(), "min"), si.Of(time.Duration(d.Rehearsal).Hours(), "h"), si.Of(takes.Hours(), "h"), d.Name),
			Cure: finding.Say("is a number a slip? The doses of that day are counted with it")}.At(d.Pos))
	}
}

// usual is how long a show usually lasts.
func (r *limits) usual() time.Duration {
	if u, ok := r.Subject.(interface{ Usual() time.Duration }); ok {
		return u.Usual()
	}
	return r.Length()
}
