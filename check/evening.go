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
	found, err := evening(ctx, e)
	if err != nil {
		return nil, err
	}
	all := &subject.Run{Subject: subject.OfEvening(e), Ctx: ctx, Show: e.Steps[0].Show, Report: finding.NewReport(tells)}
	for _, f := range found {
		all.Add(f)
	}
	leavingEvening(ctx, e, all.Report)
	clocks(e, all.Report)
	echoes(e.Steps[0].Show, o.Triggers, all.Report)
	return signed(all, nil, o), nil
}

// evening is Evening without signatures.
func evening(ctx context.Context, e *show.Evening) ([]finding.Finding, error) {
	all := &subject.Run{Subject: subject.OfEvening(e), Ctx: ctx, Report: finding.NewReport(tells)}
	if err := measureAll(all, families); err != nil {
		return nil, err
	}
	if short, ok := unwaitedEvening(e); ok {
		if err := flashesUnwaited(all, subject.OfEvening(short)); err != nil {
			return nil, err
		}
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
	return all.List(), nil
}

// located says where in its step a finding of the whole evening is.
func located(e *show.Evening, f finding.Finding) finding.Finding {
	if f.To == 0 {
		return f
	}
	from := time.Duration(f.From * float64(time.Second))
	s := &e.Steps[e.At(from)]
	if Signable(&f) {
		f.Light = brought(s.Show, from-s.Start, min(seconds(f.To)-s.Start, s.Show.Length))
	}
	f.Says = f.Says.And("; that is at %s of %s", si.FormatTime(from-s.Start), s.Name())
	return f
}

// ofSteps gathers what the steps say.
func ofSteps(ctx context.Context, e *show.Evening) ([]finding.Finding, error) {
	var all gathered
	for i := range e.Steps {
		list, err := ofStep(ctx, &e.Steps[i])
		if err != nil {
			return nil, err
		}
		name := e.Steps[i].Name()
		if e.Steps[i].Own() {
			name = ""
		}
		all.add(name, list)
	}
	return all.list(), nil
}

// gathered are the findings of several parts: what several say in the same words, as that
// lights up gives too little, is kept once and is of no part.
type gathered struct {
	found []finding.Finding
	of    []string // the part of each, "" for one that needs no name and for several
	first map[said]int
}

type said struct{ id, place, text string }

func (g *gathered) add(part string, found []finding.Finding) {
	if g.first == nil {
		g.first = map[said]int{}
	}
	for _, f := range found {
		key := said{f.ID, f.Place, f.Text}
		if k, again := g.first[key]; again {
			g.of[k] = ""
			continue
		}
		g.first[key] = len(g.found)
		g.found, g.of = append(g.found, f), append(g.of, part)
	}
}

func (g *gathered) list() []finding.Finding {
	for k := range g.found {
		if g.of[k] != "" {
			g.found[k].Place += ", " + g.of[k]
		}
	}
	return g.found
}

// ofStep judges one step by its own wishes, and the looks that it brings. A standing look has no
// cues to judge, but what moves in it.
func ofStep(ctx context.Context, s *show.Step) ([]finding.Finding, error) {
	of := []subject.Family{dark.Family, looks.Family}
	r := &subject.Run{Subject: subject.Of(s.Show), Ctx: ctx, Show: s.Show, Report: finding.NewReport(tells)}
	if err := measure(r, of); err != nil {
		return nil, err
	}
	if s.Stands() {
		if err := measure(r, []subject.Family{cues.Moving}); err != nil {
			return nil, err
		}
	} else {
		short, _ := unwaited(s.Show)
		if err := cuesUnwaited(r, short); err != nil {
			return nil, err
		}
	}
	return tie(s.Show, s.Show.Rig, r.List()), nil
}
