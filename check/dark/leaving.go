package dark

import (
	"time"

	"lampblack/check/finding"
	"lampblack/check/subject"
	"lampblack/room"
	"lampblack/show"
	"lampblack/si"
	"lampblack/source"
)

// moonlit is what a full moon gives, in lx (from memory): below it people who look for coats and steps do
// not find them.
const moonlit = .25

// Leaving tells of a look in which people leave, and that gives them too little to walk by; ok is false where
// it gives enough. When is what happens in it: "as the place closes".
func Leaving(run *subject.Run, look int, when string, at source.Pos) (f finding.Finding, ok bool) {
	r := &limits{run}
	l := &r.Show.Looks[look]
	lux, where := r.floorLux(l.Levels), "the floor on the mean"
	for _, p := range r.Room().Paths {
		for _, place := range r.Transport().Find(p.Name) {
			if v := r.least(place, l.Levels, 0, 0); v < lux {
				lux, where = v, "path "+p.Name
			}
		}
	}
	if lux >= performance {
		return f, false
	}
	f = finding.Finding{ID: "leave-dark", Severity: finding.Warn, Place: finding.Thing("look", l.Name), Value: lux, Limit: performance, Unit: "lx",
		Margin: (lux - performance) / performance, Source: walkSource, Assumed: independent,
		Says: finding.Say("%s look %s stands, and gives %s on %s: people leave in the dark", when, l.Name, si.Of(lux, "lx"), where),
		Cure: finding.Say("let a look stand there that lights the ways, as the one for lights up does")}
	if lux < moonlit {
		f.Severity = finding.Stop
	}
	return f.At(at), true
}

// narrow finds paths that nobody can walk.
func (r *limits) narrow() {
	for _, p := range r.Room().Paths {
		w := float64(p.Value.Width)
		if w == 0 || w >= room.NarrowestWay-1e-9 {
			continue
		}
		f := finding.Finding{ID: "way-narrow", Severity: finding.Warn, Place: finding.Thing("path", p.Name), Value: w, Limit: room.NarrowestWay, Unit: "m", Margin: (w - room.NarrowestWay) / room.NarrowestWay,
			Source: "common practice, no source; local codes say how wide a way out is",
			Says:   finding.Say("path %s is %s wide: people do not pass", p.Name, si.Of(w, "m")),
			Cure:   finding.Say("make it wider, or measure it again")}
		r.Add(f.At(p.Pos))
	}
}

// longSilence is how long an alarm that says so all the time may be silent (this tool's choice).
const longSilence = time.Minute

// silent finds alarm contacts that are open while all is well: a cut wire looks like that too.
func (r *limits) silent() {
	for _, a := range r.Bill().Alarms {
		r.late(&a)
		l, ok := a.Value.From()
		if !ok || l.Opens || l.Kind != "pins" && l.Kind != "gpio" || a.Value.Every > 0 {
			continue
		}
		f := finding.Finding{ID: "alarm-open", Severity: finding.Warn, Place: finding.Thing("alarm input", a.Name),
			Source: "common practice, no source: contacts of alarms are closed while all is well",
			Says:   finding.Say("the contact of alarm input %s is open while all is well: nobody notices when its wire is cut or its plug is pulled", a.Name),
			Cure:   finding.Say("have the panel close a contact while all is well, and write `normally closed`; till then try it each day")}
		r.Add(f.At(a.Value.Source.Pos))
	}
}

// late finds an alarm that says so all the time, and whose silence counts late.
func (r *limits) late(a *source.Entry[show.AlarmInput]) {
	if a.Value.Every <= longSilence {
		return
	}
	f := finding.Finding{ID: "alarm-open", Severity: finding.Warn, Place: finding.Thing("alarm input", a.Name), Value: a.Value.Every.Seconds(), Limit: longSilence.Seconds(), Unit: "s",
		Margin: -(a.Value.Every - longSilence).Seconds() / longSilence.Seconds(), Source: "common practice, no source",
		Says: finding.Say("alarm input %s may say nothing for %s before that counts as an alarm: a cut wire is told so late", a.Name, si.Of(a.Value.Every.Seconds(), "s")),
		Cure: finding.Say("have it say so every few seconds")}
	r.Add(f.At(a.Value.Source.Pos))
}

// longAlone is how long black light may stand with nobody steering it (this tool's choice: as long as it takes
// to see that nothing moves, and to reach a switch).
const longAlone = time.Minute

// alone finds shows that leave people in black light when the run has failed.
func (r *limits) alone() {
	s := r.Bill().Silence
	if s.Ultraviolet <= longAlone {
		return
	}
	f := finding.Finding{ID: "alone-dark", Severity: finding.Warn, Place: "show.yaml", Value: s.Ultraviolet.Seconds(), Limit: longAlone.Seconds(), Unit: "s",
		Margin: -(s.Ultraviolet - longAlone).Seconds() / longAlone.Seconds(), Source: "common practice, no source",
		Says: finding.Say("when the run fails black light stands for %s before the lights come up", si.Of(s.Ultraviolet.Seconds(), "s")),
		Cure: finding.Say("let it stand for no longer than people need to see that something is wrong")}
	r.Add(f.At(s.Pos))
}
