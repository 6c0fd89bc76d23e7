package check

import (
	"context"
	"time"

	"lampblack/check/cues"
	"lampblack/check/dark"
	"lampblack/check/finding"
	"lampblack/check/looks"
	"lampblack/check/subject"
	"lampblack/show"
	"lampblack/si"
)

// Evening measures a whole evening. What makes light is measured over all of it
// at once, standing looks at their longest: doses add up, and flashes are counted
// where one step goes over into the next. What a score wishes, and whether people
// find their way, is judged step by step, as if each were a show.
//
// Findings of the first kind have times on the evening's line, and say where in
// their step that is; those of the second name their step, and have times in it.
func Evening(ctx context.Context, e *show.Evening, o Options) ([]finding.Finding, error) {
	all := &subject.Run{Subject: subject.OfEvening(e), Ctx: ctx, Report: finding.NewReport(tells)}
	if err := measure(all, families); err != nil {
		return nil, err
	}
	whole := finding.NewReport(tells)
	for _, f := range all.List() {
		whole.Add(located(e, f))
	}
	all.Report = whole
	steps, err := ofSteps(ctx, e)
	if err != nil {
		return nil, err
	}
	for _, f := range steps {
		all.Add(f)
	}
	return signed(all, o), nil
}

// located says where in its step a finding of the whole evening is.
func located(e *show.Evening, f finding.Finding) finding.Finding {
	if f.To == 0 {
		return f
	}
	from := time.Duration(f.From * float64(time.Second))
	s := &e.Steps[e.At(from)]
	f.Says = f.Says.And("; that is at %s of %s", si.FormatTime(from-s.Start), s.Name())
	return f
}

// ofSteps gathers what the steps say: what several say in the same words, as
// that lights up gives too little, once and of no step.
func ofSteps(ctx context.Context, e *show.Evening) ([]finding.Finding, error) {
	type said struct{ id, place, text string }
	var out []finding.Finding
	var of []string // the step of each, "" for the folder's own piece and for several
	first := map[said]int{}
	for i := range e.Steps {
		list, err := ofStep(ctx, &e.Steps[i], i == 0)
		if err != nil {
			return nil, err
		}
		name := e.Steps[i].Name()
		if e.Steps[i].Own() {
			name = ""
		}
		for _, f := range list {
			key := said{f.ID, f.Place, f.Text}
			if k, again := first[key]; again {
				of[k] = ""
				continue
			}
			first[key] = len(out)
			out, of = append(out, f), append(of, name)
		}
	}
	for k := range out {
		if of[k] != "" {
			out[k].Place += ", " + of[k]
		}
	}
	return out, nil
}

// ofStep judges one step by its own wishes; the looks are judged with the first,
// for all steps have the same. A standing look has no cues to judge.
func ofStep(ctx context.Context, s *show.Step, first bool) ([]finding.Finding, error) {
	of := []subject.Family{dark.Family}
	if first {
		of = append(of, looks.Family)
	}
	if !s.Stands() {
		of = append(of, cues.Family)
	}
	r := &subject.Run{Subject: subject.Of(s.Show), Ctx: ctx, Show: s.Show, Report: finding.NewReport(tells)}
	if err := measure(r, of); err != nil {
		return nil, err
	}
	return r.List(), nil
}
