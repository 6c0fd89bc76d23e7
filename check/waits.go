package check

import (
	"time"

	"lampblack/check/cues"
	"lampblack/check/finding"
	"lampblack/check/sight"
	"lampblack/check/subject"
	"lampblack/show"
)

// unwaited is the show whose waits last no time at all; ok is false for one without waits.
// The line that is measured has every wait at its longest, which doses and darkness want;
// flashes on both sides of a wait are closest together when go comes at once.
func unwaited(s *show.Show) (short *show.Show, ok bool) {
	if len(s.Waits) == 0 {
		return s, false
	}
	return s.Waited(make([]time.Duration, len(s.Waits)), 0), true
}

// unwaitedEvening is the same of an evening, whose standing looks keep their longest.
func unwaitedEvening(e *show.Evening) (short *show.Evening, ok bool) {
	short = &show.Evening{}
	at := time.Duration(0)
	for _, s := range e.Steps {
		var waits bool
		s.Show, waits = unwaited(s.Show)
		ok = ok || waits
		s.Start = at
		at += s.Show.Length
		short.Steps = append(short.Steps, s)
	}
	return short, ok
}

// flashesUnwaited counts flashes where nothing is waited for, and adds what is not said
// already.
func flashesUnwaited(all *subject.Run, short subject.Subject) error {
	r := &subject.Run{Subject: short, Ctx: all.Ctx, Report: finding.NewReport(tells)}
	if err := measure(r, []subject.Family{sight.Family}); err != nil {
		return err
	}
	type key struct{ id, place string }
	worst := map[key]float64{}
	for _, f := range all.List() {
		worst[key{f.ID, f.Place}] = max(worst[key{f.ID, f.Place}], f.Value)
	}
	for _, f := range r.List() {
		if f.Value > worst[key{f.ID, f.Place}] {
			f.Says = f.Says.And("; when go comes at once where something waits")
			all.Add(f)
		}
	}
	return nil
}

// cuesUnwaited holds the cues of a score against its soundtrack, as they are written: on a line
// that waits have made longer they are elsewhere than what they land on.
func cuesUnwaited(all *subject.Run, short *show.Show) error {
	r := &subject.Run{Subject: subject.Of(short), Ctx: all.Ctx, Show: short, Report: finding.NewReport(tells)}
	if err := measure(r, []subject.Family{cues.Family}); err != nil {
		return err
	}
	for _, f := range r.List() {
		all.Add(f)
	}
	return nil
}
