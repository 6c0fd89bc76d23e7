package dose

import (
	"time"

	"lampblack/check/finding"
	"lampblack/si"
)

// full finds days that have not the hours for what is to be held on them. Each show lasts as long as it usually
// does: doses by the day are wrong where so many are never held.
func (r *limits) full() {
	each := r.usual()
	for i := range r.Bill().Days {
		d := &r.Bill().Days[i]
		takes := time.Duration(d.Shows)*each + time.Duration(d.Rehearsal)
		if takes <= 24*time.Hour {
			continue
		}
		r.Add(finding.Finding{ID: "day-full", Severity: finding.Warn, Place: finding.Thing("day", d.Name), Value: takes.Hours(), Limit: 24, Unit: "h", Source: "a day has 24 h",
			Says: finding.Say("%s of %s and %s of rehearsal are %s on %s: no day holds them", si.Count(d.Shows, "show", "shows"), si.FormatTime(each), si.Of(time.Duration(d.Rehearsal).Hours(), "h"), si.Of(takes.Hours(), "h"), d.Name),
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
