package check

import (
	"context"

	"lampblack/calendar"
	"lampblack/check/dark"
	"lampblack/check/finding"
	"lampblack/check/subject"
	"lampblack/show"
	"lampblack/source"
)

// leavingEvening judges the standing look that ends an evening: people get up and go in it.
func leavingEvening(ctx context.Context, e *show.Evening, all *finding.Report) {
	last := &e.Steps[len(e.Steps)-1]
	if len(e.Steps) < 2 || !last.Stands() {
		return
	}
	leaving(ctx, last.Show, last.Look.Name, "after the last piece", last.Pos, all)
}

// closing judges the look that stands as a place closes.
func closing(ctx context.Context, p *show.Place, hours *calendar.Calendar, all *finding.Report) {
	if hours != nil {
		leaving(ctx, p.Show, hours.CloseDown.Look.Name, "as the place closes", hours.CloseDown.Pos, all)
	}
}

func leaving(ctx context.Context, s *show.Show, look, when string, at source.Pos, all *finding.Report) {
	k := s.IndexLook(look)
	if k < 0 {
		return
	}
	r := &subject.Run{Subject: subject.Of(s), Ctx: ctx, Show: s, Report: all}
	if f, ok := dark.Leaving(r, k, when, at); ok {
		all.Add(f)
	}
}
