package dose

import (
	"context"
	"fmt"
	"io"
	"strings"

	"lampblack/check/finding"
	"lampblack/check/subject"
	"lampblack/light"
	"lampblack/rig"
	"lampblack/room"
	"lampblack/show"
	"lampblack/si"
)

// Log writes the log of ultraviolet by days, with the doses of the worst
// performer and seat, and columns to fill by hand.
func Log(ctx context.Context, w io.Writer, s *show.Show) error {
	r := open(&subject.Run{Subject: subject.Of(s), Ctx: ctx, Show: s})
	if ctx.Err() != nil {
		return ctx.Err()
	}
	fmt.Fprintf(w, "Limit: %s.\n\n", uvaSource)
	for _, kind := range []room.Kind{room.KindPerson, room.KindSeat} {
		r.logOf(w, kind)
	}
	r.distances(w)
	fmt.Fprintf(w, "Hours of paint and fabric under ultraviolet fade them: add up the last column.\n")
	return nil
}

// logOf writes the table of the worst eye of a kind. The planned figures are printed,
// and the columns of what was held stay empty: the dose of a real evening is for a
// person to fill in and sign.
func (r *limits) logOf(w io.Writer, kind room.Kind) {
	tr := r.Transport()
	worst := -1
	var x Exposure
	for e := range tr.Eyes {
		if tr.Places[tr.Eyes[e]].Kind != kind {
			continue
		}
		if one := r.exposed(room.UVA)[e]; worst < 0 || one.Most > x.Most {
			worst, x = e, one
		}
	}
	if worst < 0 {
		return
	}
	fmt.Fprintf(w, "## Worst %s: %s\n\n", kind, tr.Places[tr.Eyes[worst]].Name)
	fmt.Fprintf(w, "One show: up to %s (from %s along the gaze at the lower end); highest %s at %s; ultraviolet there for %s.\n\n",
		si.Say(x.Most, "J/m2"), si.Say(x.Low, "J/m2"), si.Say(x.Peak, "W/m2"), si.FormatTime(x.PeakAt), si.FormatTime(x.On))
	fmt.Fprintf(w, "| Day | Shows planned | Rehearsal planned | Computed dose, J/m² | of limit | Shows held | Rehearsal held | Dose held, J/m² | Signed |\n|---|---|---|---|---|---|---|---|---|\n")
	for _, d := range r.daysOf(kind) {
		limit := uvaLimit(r.IsChild(worst) || d.Children)
		fmt.Fprintf(w, "| %s | %d | %d min | %.0f | %.0f %% | | | | |\n", finding.Cell(d.Name), d.Shows, int(d.Rehearsal.Minutes()+.5), x.Dose(d), 100*x.Dose(d)/limit)
	}
	fmt.Fprintln(w)
}

// distances writes the keep-out distances of each unit, for the looks in which
// it gives ultraviolet; looks that ask the same of it share a row.
func (r *limits) distances(w io.Writer) {
	fmt.Fprintf(w, "## Distances to keep, straight before the lamp\n\nNearer than this an eye passes the daily dose in the time given. Outputs at their upper end.\n\n")
	fmt.Fprintf(w, "| Unit | Looks | UV-A at 1 m, W/m² | 1 h | 2 h | 8 h |\n|---|---|---|---|---|---|\n")
	for i := range r.Rig().Units {
		if u := &r.Rig().Units[i]; u.Mode != nil && u.Type != nil {
			r.distancesOf(w, i, u)
		}
	}
	fmt.Fprintln(w)
}

// distancesOf writes the rows of one unit. A row whose irradiance at 1 m rounds to
// nothing (under 5 mW/m²) is left out; it passes the daily dose after more than 500
// hours.
func (r *limits) distancesOf(w io.Writer, unit int, u *rig.Unit) {
	from, to := r.Rig().UnitDrives(unit)
	axis := NewAxis(u, r.Rig().Drives[from:to])
	names := map[string][]string{} // by the rest of the row
	var order []string
	for l := range r.Show.Looks {
		if _, _, cues := r.Stands(l); cues == nil {
			continue
		}
		levels := make([]float64, to-from)
		for d := range levels {
			levels[d] = float64(r.Show.Looks[l].Levels[from+d])
		}
		at := func(far si.Length) float64 { return axis.Most(levels, room.UVA, far) }
		if at(1) < .005 {
			continue
		}
		row := si.Say(at(1), "")
		for _, hours := range []float64{1, 2, 8} {
			row += fmt.Sprintf(" | %.2f m", float64(Reach(at, light.DailyUVA/(3600*hours))))
		}
		if names[row] == nil {
			order = append(order, row)
		}
		names[row] = append(names[row], finding.Cell(r.Show.Looks[l].Name))
	}
	for _, row := range order {
		fmt.Fprintf(w, "| %s | %s | %s |\n", finding.Cell(u.Name.Name), strings.Join(names[row], ", "), row)
	}
}
