package dose

import (
	"fmt"
	"math"

	"lampblack/check/finding"
	"lampblack/room"
	"lampblack/si"
)

// stare is one eye that looks into one lens. The radiance counts the lens at the
// brightest of each of its drives over the show, all at once: no instant need have them
// together.
type stare struct {
	view     *room.View
	radiance float64 // W/(m2 sr), weighted by B, with the brightest of the show
	limit    float64
	child    bool
}

// gaze reports the lens with the highest radiance in relation to its limit. What is
// judged by severity is the risk group that the lens reaches for this eye: above group
// 2 (aversion no longer saves) a stop, above group 1 a warn. Beside it the time is told
// after which a steady stare reaches the dose of 1 MJ/(m² sr): 10⁶ s over the radiance,
// and a tenth of that for a child.
func (r *limits) gaze() {
	tr := r.Transport()
	top := r.Trace().Most(len(r.Rig().Drives))
	var worst stare
	for _, v := range tr.Lenses() {
		s := stare{view: v, radiance: r.Transport().LensRadiance(v, room.BlueLight, top), limit: groupTwoBlue, child: r.IsChild(v.Eye)}
		if s.child {
			s.limit *= childBlue
		}
		if worst.view == nil || s.radiance/s.limit > worst.radiance/worst.limit {
			worst = s
		}
	}
	if worst.view == nil || worst.radiance <= 0 {
		return
	}
	unit, eye := r.Unit(worst.view.Unit), r.EyeName(worst.view.Eye)
	f := finding.Finding{ID: "blue-gaze", Severity: finding.Note, Place: eye, Value: worst.radiance, Limit: worst.limit, Unit: "W/(m² sr)", Units: []string{unit},
		Source: "Directive 2006/25/EC annex I, table 1.1 c: 1 MJ/(m² sr), weighted by B; IEC 62471:2006: risk group 1 ends at 10 kW/(m² sr) (from memory)",
		Says: finding.Say("%s sees into unit %s%s, %s away: a steady look into its lens at its brightest reaches the limit after %s",
			eye, unit, worst.view.Way(), si.Of(float64(worst.view.Distance), "m"), seconds(blueExposure*worst.limit/groupTwoBlue/worst.radiance)),
		Assumed: r.LensAs(worst.view.Unit) + "; the brightest that the show makes it; upper end of the outputs; the eye keeps still"}
	if worst.child {
		f.Source += "; a tenth for a child that may stare (CIE 2019, as quoted)"
	}
	switch {
	case worst.radiance > groupThreeBlu:
		f.Severity = finding.Stop
	case worst.radiance > worst.limit:
		f.Severity = finding.Warn
	}
	if f.Severity != finding.Note {
		f.Cure = finding.Say("mask the lens from this eye, or lower the unit")
	}
	r.Add(f.At(r.Rig().Units[worst.view.Unit].Name.Pos))
}

// seconds is a time in the unit that a person would say it in.
func seconds(s float64) string {
	switch {
	case s >= 7200:
		return fmt.Sprintf("%.0f h", s/3600)
	case s >= 120:
		return fmt.Sprintf("%.0f min", s/60)
	}
	return fmt.Sprintf("%.3g s", s)
}

// blueRoom compares the day's exposure of the worst eye with the limit for large
// sources: the light of the whole scene taken as an even half space. An even half space
// of radiance L gives E = πL, so the radiance dose is the dose at the eye over π. That
// is the mean of what the eye has around it: single lenses are brighter, and gaze has
// those. Under a tenth of the limit nothing is said.
func (r *limits) blueRoom() {
	all := r.exposed(room.BlueLight)
	worst, share := -1, 0.0
	var when Day
	limitOf := func(e int, d Day) float64 {
		if r.IsChild(e) || d.Children {
			return childBlue * blueExposure
		}
		return blueExposure
	}
	for e := range all {
		for _, d := range r.daysFor(e) {
			if s := all[e].Dose(d) / math.Pi / limitOf(e, d); s > share {
				worst, share, when = e, s, d
			}
		}
	}
	if worst < 0 || share < .1 {
		return
	}
	f := finding.Finding{ID: "blue-room", Severity: finding.Note, Place: r.EyeName(worst), Value: all[worst].Dose(when) / math.Pi, Limit: limitOf(worst, when), Unit: "J/(m² sr)",
		Source:  "Directive 2006/25/EC annex I, table 1.1 c: 1 MJ/(m² sr), weighted by B",
		Says:    finding.Say("on %s %s takes up to %s of blue light, weighted by B", when.Name, r.EyeName(worst), si.Of(all[worst].Dose(when)/math.Pi, "J/(m² sr)")),
		Assumed: "the scene taken as an even half space; the eye turns to every lamp; upper end of the outputs", Units: r.uvUnits(worst, room.BlueLight)}
	if share > 1 {
		f.Severity = finding.Warn
	}
	r.Add(f.At(r.EyePos(worst)))
}
