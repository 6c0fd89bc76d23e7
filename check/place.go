package check

import (
	"context"
	"slices"
	"strings"
	"time"

	"lampblack/check/dose"
	"lampblack/check/finding"
	"lampblack/check/subject"
	"lampblack/check/supply"
	"lampblack/check/ways"
	"lampblack/room"
	"lampblack/show"
	"lampblack/si"
)

// Place measures a place of zones, whose clocks run on their own, so that any state of one
// may meet any of another.
//
//	each zone, as an evening     the other zones at the least that each of their drives
//	                             ever gives: what must be light is held to that
//	supply                       every drive at the most that it ever gives, at once
//	doses                        who works there, all of the longest day, each zone resting
//	                             or running without a pause, whichever gives more; a
//	                             visitor, who stays in every zone once and to the last
//	paths                        ultraviolet at the eyes of whoever walks past
//	meetings                     flashes where two zones light what one eye sees, however
//	                             their clocks stand to one another
//	ways                         steps that nobody leaves, or that are never reached
func Place(ctx context.Context, p *show.Place, o Options) ([]finding.Finding, error) {
	all := finding.NewReport(tells)
	add := func(found []finding.Finding, err error) error {
		for _, f := range found {
			all.Add(f)
		}
		return err
	}
	lows, highs := ranges(p)
	err := add(eachZone(ctx, p, lows))
	if err == nil {
		err = add(atTheirMost(ctx, p, highs))
	}
	if err == nil {
		err = add(doses(ctx, p, o))
	}
	if err == nil {
		err = add(meetings(ctx, p))
	}
	if err == nil {
		err = add(passing(ctx, p, highs), ctx.Err())
	}
	if err == nil {
		err = add(ways.Find(p, o.Hours, o.Triggers), nil)
	}
	if err != nil {
		return nil, err
	}
	closing(ctx, p, o.Hours, all)
	echoes(p.Show, o.Triggers, all)
	r := &subject.Run{Subject: subject.Of(p.Show), Ctx: ctx, Show: p.Show, Report: all}
	return signed(r, nil, o), nil
}

// eachZone measures every zone as an evening. Doses are left out, as how often a zone is gone
// through in a day is not in its order; and the supply, which carries all zones.
func eachZone(ctx context.Context, p *show.Place, lows [][]float32) ([]finding.Finding, error) {
	var zones gathered
	for i := range p.Zones {
		found, err := evening(ctx, p.Zone(i, most(lows, i)))
		if err != nil {
			return nil, err
		}
		found = slices.DeleteFunc(found, func(f finding.Finding) bool {
			return f.ID == "uv-keep-out" || f.ID == "uv-dose" || f.ID == "uv-actinic" || f.ID == "blue-room" || f.ID == "day-full" || strings.HasPrefix(f.ID, "supply-")
		})
		zones.add("zone "+p.Zones[i].Name, found)
	}
	return zones.list(), nil
}

// atTheirMost measures the supply.
func atTheirMost(ctx context.Context, p *show.Place, highs [][]float32) ([]finding.Finding, error) {
	r := &subject.Run{Subject: subject.Of(p.Steady(most(highs, -1), time.Second)), Ctx: ctx, Report: finding.NewReport(tells)}
	if err := measure(r, []subject.Family{supply.Family}); err != nil {
		return nil, err
	}
	found := r.List()
	for i := range found {
		found[i].From, found[i].To = 0, 0
	}
	return found, nil
}

// workingDay is how long somebody works in a place that has no hours (Directive 2006/25/EC
// counts doses over a working day of 8 h).
const workingDay = 8 * time.Hour

// doses measures those of who works there, and those of visitors.
func doses(ctx context.Context, p *show.Place, o Options) ([]finding.Finding, error) {
	long, hours := workingDay, "a day of 8 h, as no calendar says more"
	if o.Hours != nil {
		if l := o.Hours.Longest(); l > 0 {
			long, hours = l, "the longest day of "+show.CalendarFile
		}
	}
	means := make([]float32, len(p.Rig.Drives)) // of each drive, whatever its zone does
	walk := make([]float64, len(p.Rig.Drives))  // seconds at full of each, while its zone is visited
	var stays []time.Duration
	total := time.Duration(0)
	for i := range p.Zones {
		z, err := zoneUse(ctx, p, i)
		if err != nil {
			return nil, err
		}
		stays = append(stays, z.stay)
		total += z.stay
		for d := range means {
			means[d] = max(means[d], float32(z.mean[d]))
			walk[d] += z.visit[d]
		}
	}
	visitor := make([]float32, len(walk))
	for d := range visitor {
		z := owner(p, p.Rig.Drives[d].Unit)
		rest := total
		if z >= 0 {
			rest -= stays[z]
		}
		visitor[d] = float32(min((walk[d]+float64(means[d])*rest.Seconds())/total.Seconds(), 1))
	}
	staff, err := doseOf(ctx, p, means, long, room.KindPerson, "a day of "+si.Say(long.Hours(), "h"), "all of "+hours+"; every zone rests, or runs without a pause, whichever gives more")
	if err != nil {
		return nil, err
	}
	walked, err := doseOf(ctx, p, visitor, total, room.KindSeat, "a walk of "+si.Say(total.Minutes(), "min"), "one visitor sits there through a whole stay in every zone")
	return append(staff, walked...), err
}

// owner is the zone that lights a unit, or -1; of a shared one the first.
func owner(p *show.Place, unit int) int {
	return slices.IndexFunc(p.Zones, func(z show.PlacedZone) bool { return z.Lights(unit) })
}

// use is what a zone gives by the day, by drive.
type use struct {
	mean  []float64     // on the mean, at rest or run after run, whichever is more
	visit []float64     // over one stay, in seconds at full
	stay  time.Duration // the longest
}

// zoneUse takes a zone's line apart: its rest, and a run through its other steps, on the line
// where everything waits its longest and on that where nothing waits.
func zoneUse(ctx context.Context, p *show.Place, zone int) (use, error) {
	z := &p.Zones[zone]
	u := use{mean: make([]float64, len(p.Rig.Drives)), visit: make([]float64, len(p.Rig.Drives))}
	rest, runs := restAndRun(p, zone)
	if rest != nil {
		u.more(dose.Integrals(ctx, subject.OfEvening(rest)), rest.Length())
	}
	line := dose.Integrals(ctx, subject.OfEvening(runs))
	u.more(line, runs.Length())
	copy(u.visit, line)
	u.stay = runs.Length()
	if short, ok := unwaitedEvening(runs); ok {
		u.more(dose.Integrals(ctx, subject.OfEvening(short)), short.Length())
	}
	if stay := time.Duration(z.Stay); z.Repeats && stay > 0 && stay < u.stay {
		u.stay = stay
	}
	u.stay = max(u.stay, time.Second)
	return u, ctx.Err()
}

func (u *use) more(integrals []float64, over time.Duration) {
	if over <= 0 {
		return
	}
	for d, s := range integrals {
		u.mean[d] = max(u.mean[d], s/over.Seconds())
	}
}

// restAndRun is what a zone shows of its own units: its rest look, nil where it has none, and a
// run through its other steps, which starts at 0.
func restAndRun(p *show.Place, zone int) (rest, run *show.Evening) {
	e := p.Zone(zone, make([]float32, len(p.Rig.Drives)))
	if !p.Zones[zone].Repeats || len(e.Steps) == 1 {
		return nil, e
	}
	run = &show.Evening{Steps: slices.Clone(e.Steps[1:])}
	for i := range run.Steps {
		run.Steps[i].Start -= e.Steps[1].Start
	}
	return &show.Evening{Steps: e.Steps[:1]}, run
}

// doseOf measures the doses of eyes of a kind under light that stands.
func doseOf(ctx context.Context, p *show.Place, levels []float32, long time.Duration, kind room.Kind, day, assumed string) ([]finding.Finding, error) {
	s := p.Steady(levels, long)
	s.Bill.Days = []show.Day{{Name: day, Shows: 1}}
	r := &subject.Run{Subject: subject.Of(s), Ctx: ctx, Report: finding.NewReport(tells)}
	if err := measure(r, []subject.Family{dose.Family}); err != nil {
		return nil, err
	}
	mine := map[string]bool{}
	for e, place := range p.Transport.Eyes {
		if p.Transport.Places[place].Kind == kind {
			mine[r.EyeName(e)] = true
		}
	}
	var out []finding.Finding
	for _, f := range r.List() {
		if f.ID == "uv-keep-out" && kind == room.KindPerson { // nobody is nearer for longer than who works there
			out = append(out, f)
		}
		if mine[f.Place] && (f.ID == "uv-dose" || f.ID == "uv-actinic" || f.ID == "blue-room") {
			out = append(out, ofDay(f, day, assumed))
		}
	}
	return out, nil
}

// ofDay says a dose of a place, which has no shows to count, in words of its own.
func ofDay(f finding.Finding, day, assumed string) finding.Finding {
	what := "ultraviolet that harms the surface of the eye, weighted"
	switch f.ID {
	case "uv-dose":
		what = "UV-A"
	case "blue-room":
		what = "blue light, weighted"
	}
	f.Says = finding.Say("in %s %s takes up to %s of %s", day, f.Place, si.Of(f.Value, f.Unit), what)
	f.Assumed = assumed + "; the eye turns to every lamp, lamps give the upper end of their output, nothing shades the eye"
	if f.Value > f.Limit {
		f.Cure = finding.Say("lower the ultraviolet to %.0f %%, mask the lamp, let people take turns, or let the zone rest for longer", 100*f.Limit/f.Value)
	}
	f.From, f.To, f.Cues = 0, 0, nil
	return f
}

// ranges are between what the drives of each zone give.
func ranges(p *show.Place) (low, high [][]float32) {
	for i := range p.Zones {
		l, h := p.Zones[i].Range()
		low, high = append(low, l), append(high, h)
	}
	return low, high
}

// most is the most of each drive over all zones but one.
func most(zones [][]float32, but int) []float32 {
	out := make([]float32, len(zones[0]))
	for i, levels := range zones {
		if i == but {
			continue
		}
		for d, v := range levels {
			out[d] = max(out[d], v)
		}
	}
	return out
}
