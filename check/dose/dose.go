package dose

import (
	"context"
	"fmt"
	"slices"
	"time"

	"lampblack/check/finding"
	"lampblack/check/subject"
	"lampblack/light"
	"lampblack/room"
	"lampblack/show"
	"lampblack/si"
)

// Limits of optical radiation at the eye. The doses are those of a day of up to
// 8 h; the irradiance and the radiances are those of a steady stay or look.
const (
	dailyActinic  = 30.0 // J/m2, weighted by S, in a day: the same, row a
	lampUVA       = 10.0 // W/m2, for more than 1000 s: IEC 62471:2006 4.3.2
	blueExposure  = 1e6  // J/(m2 sr), weighted by B, up to 10 000 s: Directive 2006/25/EC table 1.1 c
	blueSmall     = 100. // J/m2, sources under 11 mrad, up to 10 000 s: row e
	childShare    = .5   // of the UV-A dose, common practice
	childBlue     = .1   // of the blue-light limits: CIE position statement 2019, as quoted
	smallSource   = .011 // rad
	groupTwoBlue  = 1e4  // W/(m2 sr): IEC 62471:2006 table 6.1, risk group 1 ends here (from memory)
	groupThreeBlu = 4e6  // W/(m2 sr): risk group 2 ends here (from memory)
)

const (
	uvaSource     = "ICNIRP 2004 and Directive 2006/25/EC annex I, table 1.1 b: 10 kJ/m² of UV-A in a day at the eye"
	actinicSource = "ICNIRP 2004 and Directive 2006/25/EC annex I, table 1.1 a: 30 J/m², weighted by S, in 8 h"
)

// Day is one day's ultraviolet.
type Day struct {
	Name      string
	Shows     int
	Rehearsal time.Duration
	Children  bool
	Visitor   *int // shows that one visitor sees, all when nil
}

// seated is the day as somebody in a seat has it: where the show says how many shows a
// visitor sees, those and no rehearsal; otherwise all of the day, as nobody knows who
// sits there. Rehearsals are without an audience, so a visitor has none of it.
func (d Day) seated() Day {
	if d.Visitor != nil {
		d.Shows, d.Rehearsal = *d.Visitor, 0
	}
	return d
}

// daysOf lists the days as the eyes of a kind have them.
func (r *limits) daysOf(kind room.Kind) []Day {
	days := Days(r.Bill())
	if kind == room.KindSeat {
		for i := range days {
			days[i] = days[i].seated()
		}
	}
	return days
}

// daysFor lists the days as one eye has them.
func (r *limits) daysFor(e int) []Day {
	tr := r.Transport()
	return r.daysOf(tr.Places[tr.Eyes[e]].Kind)
}

// Days lists the days of the run as the bill has them, or one with one show.
func Days(b *show.Bill) []Day {
	var out []Day
	for _, d := range b.Days {
		out = append(out, Day{d.Name, d.Shows, time.Duration(d.Rehearsal), d.Children, d.Visitor})
	}
	if out == nil {
		out = []Day{{Name: "a day of one show", Shows: 1}}
	}
	return out
}

// Exposure is what one eye takes of one sense over the show. Low is along the
// eye's gaze with outputs at their lower end; Most is whichever way the eye
// turns, with outputs at their upper end.
type Exposure struct {
	Low, Most float64       // over one show, J/m2
	Peak      float64       // highest irradiance, W/m2, whichever way the eye turns
	PeakAt    time.Duration // when
	On        time.Duration // how long it is above a hundredth of its peak
}

// Dose returns the dose of a day, upper end: its shows, and its rehearsal at
// the mean irradiance of the time that the light is on.
func (e Exposure) Dose(d Day) float64 { return e.scaled(e.Most, d) }

// scaled is the dose of a day by that of one show. A rehearsal is counted as if the
// light stood at the mean of the time that it is on: dose × rehearsal / on. It stops
// and starts, so nobody knows more.
func (e Exposure) scaled(one float64, d Day) float64 {
	dose := float64(d.Shows) * one
	if e.On > 0 {
		dose += one * float64(d.Rehearsal) / float64(e.On)
	}
	return dose
}

// worstDay returns the day with the highest dose in relation to its limit. A day with
// children has half the limit for everybody, so the day with the most light need not be
// the worst.
func (e Exposure) worstDay(days []Day, child bool) (worst Day, dose float64) {
	most := -1.0
	for _, d := range days {
		v := e.Dose(d)
		if weighed := v / uvaLimit(child || d.Children); weighed > most {
			most, worst, dose = weighed, d, v
		}
	}
	return worst, dose
}

func uvaLimit(child bool) float64 {
	if child {
		return childShare * light.DailyUVA
	}
	return light.DailyUVA
}

// Integrals returns the integral of each drive's level over what makes light, in s.
func Integrals(ctx context.Context, s subject.Subject) []float64 {
	return integrals(subject.TraceOf(ctx, s), len(s.Rig().Drives))
}

// integrals returns the integral of each drive's level over the show, in s. By
// trapezia, which is exact for a trace, as levels run straight between corners.
func integrals(t *subject.Trace, drives int) []float64 {
	out := make([]float64, drives)
	for v := 1; v < len(t.Times); v++ {
		half := (t.Times[v] - t.Times[v-1]).Seconds() / 2
		if half == 0 {
			continue
		}
		a, b := t.Levels[v-1], t.Levels[v]
		for d := range out {
			out[d] += half * (float64(a[d]) + float64(b[d]))
		}
	}
	return out
}

// exposure of eye e (an index in Transport.Eyes) to a sense. Two estimates make the
// interval of a finding: along the gaze with outputs at their lower end, and with the
// eye turned to each lamp in turn with outputs at their upper end. What is judged is
// the upper one. Both are dot products with the integrals, as irradiance is linear in
// the drives; of who crosses, for every stretch of the way.
func (r *limits) exposure(e int, sense room.Sense) Exposure {
	var x Exposure
	all := r.stretches(e)
	values := make([][]float64, len(all))
	for i := range all {
		s := &all[i]
		gaze, most := s.rows(e, sense)
		for d := range most {
			x.Low += gaze[d] * s.ends[0].Spread[d].Low * s.integrals[d]
			x.Most += most[d] * s.integrals[d]
		}
		values[i] = x.follow(s.trace, most)
	}
	for i := range all {
		for v := 1; v < len(values[i]); v++ {
			if max(values[i][v], values[i][v-1]) > x.Peak/100 && x.Peak > 0 {
				x.On += all[i].trace.Times[v] - all[i].trace.Times[v-1]
			}
		}
	}
	return x
}

// follow returns the irradiance at the corners of a trace, and notes its peak. It runs straight
// between corners, so its highest value is at one. Drives that give the eye nothing are left
// out of the sums, which are most of the work: corners × drives × eyes. A stretch
// counts as on when either end has a hundredth of the peak.
func (x *Exposure) follow(t *subject.Trace, row []float64) []float64 {
	var active []int
	for d, w := range row {
		if w > 0 {
			active = append(active, d)
		}
	}
	values := make([]float64, len(t.Times))
	for v, levels := range t.Levels {
		for _, d := range active {
			values[v] += row[d] * float64(levels[d])
		}
		if values[v] > x.Peak {
			x.Peak, x.PeakAt = values[v], t.Times[v]
		}
	}
	return values
}

// ultraviolet looks at the doses of all eyes.
func (r *limits) ultraviolet() {
	for _, kind := range []room.Kind{room.KindSeat, room.KindPerson} {
		r.doses(kind, r.daysOf(kind), r.exposed(room.UVA))
	}
}

// doses reports every eye over its limit, and of the others the worst of its kind. An
// eye over its limit is told each by name, since each is a person to be moved. Of those
// below, one is enough, and it is a warn from half of the adults' limit on: for people
// whom medicines or illness make sensitive, about whom nobody asked.
func (r *limits) doses(kind room.Kind, days []Day, uva []Exposure) {
	tr := r.Transport()
	worst, share := -1, 0.0
	for e := range uva {
		if tr.Places[tr.Eyes[e]].Kind != kind {
			continue
		}
		child := r.IsChild(e)
		day, dose := uva[e].worstDay(days, child)
		limit := uvaLimit(child || day.Children)
		if dose > limit {
			r.dose(e, uva[e], day, finding.Stop)
		} else if s := dose / limit; s > share {
			worst, share = e, s
		}
	}
	if worst >= 0 {
		day, dose := uva[worst].worstDay(days, r.IsChild(worst))
		severity := finding.Note
		if dose > childShare*light.DailyUVA {
			severity = finding.Warn
		}
		r.dose(worst, uva[worst], day, severity)
	}
}

func (r *limits) dose(e int, x Exposure, day Day, severity finding.Severity) {
	child := r.IsChild(e) || day.Children
	f := finding.Finding{ID: "uv-dose", Severity: severity, Place: r.EyeName(e), Value: x.Dose(day), Low: x.scaled(x.Low, day), High: x.Dose(day), Limit: uvaLimit(child), Unit: "J/m²",
		Source:  uvaSource,
		Assumed: "the eye turns to every lamp, lamps give the upper end of their output, nothing shades the eye; rehearsal at the mean of the time that the ultraviolet is on"}.
		During(x.PeakAt, x.PeakAt)
	f.Says = finding.Say("on %s (%s, %s of rehearsal) %s takes up to %s of UV-A; one show gives %s, at most %s",
		day.Name, si.Count(day.Shows, "show", "shows"), minutes(day.Rehearsal), f.Place, si.Of(f.Value, "J/m²"), si.Of(x.Most, "J/m²"), si.Of(x.Peak, "W/m²"))
	if child {
		f.Source += "; halved for a child (common practice)"
	}
	if r.Transport().Places[r.Transport().Eyes[e]].Kind == room.KindSeat && day.Visitor == nil && day.Shows > 1 {
		f.Assumed += fmt.Sprintf("; one person sits there for all %d shows and the rehearsal: `each visitor sees: 1` beside the day says otherwise", day.Shows)
	}
	if len(r.Bill().Days) == 0 {
		f.Assumed += "; one show a day, as show.yaml has no days"
	}
	f.Units = r.uvUnits(e, room.UVA)
	f.Cues = r.Standing(x.PeakAt)
	switch {
	case severity == finding.Stop:
		f.Cure = finding.Say("at most %s shows a day for this eye, or move it, mask the lamp, or lower the ultraviolet to %.0f %%", si.Of(allowed(f.Limit, x, day), ""), 100*f.Limit/f.Value)
	case severity == finding.Warn:
		f.Says = f.Says.And("; more than half of the limit, which is too much for people who are sensitive to light, for medical reasons or by medicines")
	}
	r.Add(f.At(r.EyePos(e)))
}

// minutes says a time of rehearsal in hours where that is whole.
func minutes(d time.Duration) string {
	if d >= 2*time.Hour && d%time.Hour == 0 {
		return fmt.Sprintf("%d h", d/time.Hour)
	}
	return fmt.Sprintf("%d min", int(d.Minutes()+.5))
}

// allowed is how many shows fit beside the day's rehearsal. It is the upper estimate,
// so a visitor may have more than is said here; never fewer shows than 0.
func allowed(limit float64, x Exposure, day Day) float64 {
	if x.Most <= 0 {
		return 0
	}
	day.Shows = 0
	return max(0, (limit-x.Dose(day))/x.Most)
}

// uvUnits names the units that give an eye most of a sense, up to five. A unit counts
// when it gives a tenth of what the greatest gives, weighed by the brightest that each
// of its drives gets; the room's own reflections and where the eye looks are left out,
// as the question is which lamp to mask.
func (r *limits) uvUnits(e int, sense room.Sense) []string {
	tr := r.Transport()
	top := r.Trace().Most(len(r.Rig().Drives))
	share := make([]float64, len(r.Rig().Units))
	for d, f := range tr.MostRow(e, sense) {
		share[r.Rig().Drives[d].Unit] += f * float64(top[d])
	}
	var units []int
	most := slices.Max(append(share, 0))
	for u, v := range share {
		if v > most/10 && v > 0 {
			units = append(units, u)
		}
	}
	slices.SortStableFunc(units, func(a, b int) int {
		switch {
		case share[a] > share[b]:
			return -1
		case share[a] < share[b]:
			return 1
		}
		return a - b
	})
	var out []string
	for _, u := range units[:min(len(units), 5)] {
		out = append(out, r.Unit(u))
	}
	return out
}

// actinic looks at the ultraviolet weighted by S, the worst eye on its worst day. Only
// what is above half of the limit is told: LEDs that this tool knows give next to
// nothing below 315 nm, so a value this high mostly means a type file that is wrong.
// Children have no lower limit here, as neither source has one.
func (r *limits) actinic() {
	all := r.exposed(room.Actinic)
	worst, most := -1, 0.0
	var when Day
	for e := range all {
		for _, d := range r.daysFor(e) {
			if v := all[e].Dose(d); v > most {
				worst, most, when = e, v, d
			}
		}
	}
	if worst < 0 || most <= dailyActinic/2 {
		return
	}
	f := finding.Finding{ID: "uv-actinic", Severity: finding.Warn, Place: r.EyeName(worst), Value: most, High: most, Low: all[worst].scaled(all[worst].Low, when), Limit: dailyActinic, Unit: "J/m²",
		Says: finding.Say("on %s %s takes up to %s of ultraviolet, weighted by S", when.Name, r.EyeName(worst), si.Of(most, "J/m²")), Source: actinicSource,
		Assumed: "as for the UV-A dose; wavelengths from 300 nm on", Units: r.uvUnits(worst, room.Actinic)}
	if most > dailyActinic {
		f.Severity = finding.Stop
	}
	r.Add(f.At(r.EyePos(worst)))
}

// lampLimit shows the highest irradiance beside the lamp standard's figure, and why the
// two limits differ. Lamps are classed at 10 W/m² for more than 1000 s, a limit of
// irradiance; people are protected by a dose in a day. Neither follows from the other,
// and people who have read a lamp's data sheet ask, so both are told.
func (r *limits) lampLimit() {
	uva := r.exposed(room.UVA)
	worst := -1
	for e := range uva {
		if uva[e].Peak > 0 && (worst < 0 || uva[e].Peak > uva[worst].Peak) {
			worst = e
		}
	}
	if worst < 0 {
		return
	}
	x := uva[worst]
	f := finding.Finding{ID: "uv-irradiance", Severity: finding.Note, Place: r.EyeName(worst), Value: x.Peak, Limit: lampUVA, Unit: "W/m²", Source: "IEC 62471:2006, 4.3.2, as quoted: 10 W/m² of UV-A for more than 1000 s",
		Says: finding.Say("%s takes up to %s of UV-A at the worst moment; over a long show the day's dose decides, which is judged apart",
			r.EyeName(worst), si.Of(x.Peak, "W/m²")), Assumed: "the eye turns to every lamp; upper end of the outputs", Cues: r.Standing(x.PeakAt), Units: r.uvUnits(worst, room.UVA)}.During(x.PeakAt, x.PeakAt)
	if x.Peak > lampUVA {
		f.Severity = finding.Warn
	}
	r.Add(f.At(r.EyePos(worst)))
}
