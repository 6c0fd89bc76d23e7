package check

import (
	"context"
	"fmt"
	"io"
	"slices"
	"strings"

	"lampblack/rig"
	"lampblack/room"
	"lampblack/show"
	"lampblack/si"
)

// Papers are drafts in Markdown, filled with what was computed. Each says that
// a competent person must complete it.

const draft = "**Draft, filled by computation. A competent person must check, complete and sign it; local rules decide what must be said and where.**\n\n"

// facts are what the sign and the announcement tell, each the worst of its kind.
type facts struct {
	flash, red, union *Finding
	seat, performer   *Finding // ultraviolet doses
	blackout, path    *Finding // the longest dark, and the darkest path
}

func factsOf(list []Finding) facts {
	var f facts
	for i := range list {
		x := &list[i]
		switch x.ID {
		case "flash-rate":
			f.flash = worseOf(f.flash, x)
		case "flash-red":
			f.red = worseOf(f.red, x)
		case "flash-union":
			f.union = worseOf(f.union, x)
		case "blackout":
			f.blackout = worseOf(f.blackout, x)
		case "path-dark":
			f.path = x
		case "uv-dose":
			if strings.HasPrefix(x.Place, string(room.KindSeat)) {
				f.seat = worseOf(f.seat, x)
			} else {
				f.performer = worseOf(f.performer, x)
			}
		}
	}
	return f
}

func worseOf(a, b *Finding) *Finding {
	if a == nil || b.Value > a.Value {
		return b
	}
	return a
}

// walked tells whether the audience walks: a room of paths without seats. With
// seats, the paths are the cast's.
func walked(s *show.Show) bool { return len(s.Room.Seats) == 0 }

// flashing tells how many flashes a second are announced, 0 for none worth it.
func (f *facts) flashing() float64 {
	most := 0.0
	for _, x := range []*Finding{f.flash, f.red, f.union} {
		if x != nil {
			most = max(most, x.Value)
		}
	}
	if most < 2 {
		return 0 // a single accent in a second is no flashing light
	}
	return most
}

// Sign writes the wording of the warning sign at the entrance.
func Sign(w io.Writer, s *show.Show, list []Finding) {
	f := factsOf(list)
	fmt.Fprintf(w, "# Warning sign: %s\n\n%s", s.Bill.Title, draft)
	fmt.Fprintf(w, "> ## Please note\n>\n> This performance uses\n>\n")
	for _, line := range f.warnings(s) {
		fmt.Fprintf(w, "> - %s\n", line)
	}
	if len(f.warnings(s)) == 0 {
		fmt.Fprintf(w, "> - (nothing that was computed asks for a warning)\n")
	}
	fmt.Fprintf(w, ">\n> If any of this may affect you, please speak to a member of staff before you go in.\n\n")
	fmt.Fprintf(w, "Where: at every entrance, before people pay or sit down; in the programme; on the web page.\n")
	fmt.Fprintf(w, "Pictogram: ISO 7010 W027, optical radiation, for ultraviolet; none is standardised for flashing light (from memory).\n")
}

// warnings are the lines of the sign.
func (f *facts) warnings(s *show.Show) []string {
	var out []string
	if n := f.flashing(); n > 0 {
		out = append(out, fmt.Sprintf("**flashing light** (up to %.0f flashes a second), which may affect people with photosensitive epilepsy", n))
	}
	if f.seat != nil || f.performer != nil {
		out = append(out, "**ultraviolet (black) light**: white clothes and some make-up will glow; people who are sensitive to light, or whose medicine makes them so, should ask us first; please do not look into the lamps")
	}
	if f.blackout != nil {
		out = append(out, fmt.Sprintf("**darkness** (up to %.0f seconds at a time): please stay in your seat", f.blackout.Value+.5))
	}
	if f.path != nil && walked(s) {
		out = append(out, "**dark ways**: parts of the path that you walk are very dark; take your time, and ask staff if you want a hand")
	}
	return out
}

// Announcement writes what front of house says before the show.
func Announcement(w io.Writer, s *show.Show, list []Finding) {
	f := factsOf(list)
	fmt.Fprintf(w, "# Front of house announcement: %s\n\n%s", s.Bill.Title, draft)
	fmt.Fprintf(w, "> Good evening, and welcome to %s. ", s.Bill.Title)
	if n := f.flashing(); n > 0 {
		fmt.Fprintf(w, "There is flashing light in this performance")
		if x := worseOf(f.union, orEmpty(f.flash)); x != nil && x.To > 0 {
			fmt.Fprintf(w, ", about %s into it", roughly(x.From))
		}
		fmt.Fprintf(w, ". If flashing light troubles you, please tell us now. ")
	}
	if f.seat != nil {
		fmt.Fprintf(w, "We use black light, which is ultraviolet; please do not look straight into the lamps. ")
	}
	if f.path != nil && walked(s) {
		fmt.Fprintf(w, "Parts of the way are very dark; please walk slowly, and ask us for a hand. ")
	}
	if f.blackout != nil {
		fmt.Fprintf(w, "It will be quite dark at times; please stay in your seats, and keep the ways clear. ")
	}
	fmt.Fprintf(w, "The exits are here and here; their signs stay lit all the time. ")
	fmt.Fprintf(w, "If the lights come up before the end, please stay calm and follow the staff. Enjoy the show.\n\n")
	fmt.Fprintf(w, "Point to the exits while saying it. Say it again after an interval.\n")
}

func orEmpty(f *Finding) *Finding {
	if f == nil {
		return &Finding{Value: -1}
	}
	return f
}

func roughly(seconds float64) string {
	if seconds < 90 {
		return "a minute"
	}
	return fmt.Sprintf("%.0f minutes", seconds/60)
}

// DayLog writes the log of ultraviolet by days, with the doses of the worst
// performer and seat, and columns to fill by hand.
func DayLog(ctx context.Context, w io.Writer, s *show.Show) error {
	r := &report{ctx: ctx, show: s}
	integrals := r.trace().integrals(len(s.Rig.Drives))
	if ctx.Err() != nil {
		return ctx.Err()
	}
	fmt.Fprintf(w, "# Ultraviolet day log: %s\n\n%s", s.Bill.Title, draft)
	fmt.Fprintf(w, "Limit: %s.\n\n", uvaSource)
	for _, kind := range []room.Kind{room.KindPerson, room.KindSeat} {
		r.logOf(w, kind, integrals)
	}
	r.distances(w)
	fmt.Fprintf(w, "Hours of paint and fabric under ultraviolet fade them: add up the last column.\n")
	return nil
}

func (r *report) logOf(w io.Writer, kind room.Kind, integrals []float64) {
	tr := r.show.Transport
	worst := -1
	var x Exposure
	for e := range tr.Eyes {
		if tr.Places[tr.Eyes[e]].Kind != kind {
			continue
		}
		if one := r.exposure(e, room.UVA, integrals); worst < 0 || one.Most > x.Most {
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
		limit := uvaLimit(r.eyeChild(worst) || d.Children)
		fmt.Fprintf(w, "| %s | %d | %d min | %.0f | %.0f %% | | | | |\n", cell(d.Name), d.Shows, int(d.Rehearsal.Minutes()+.5), x.Dose(d), 100*x.Dose(d)/limit)
	}
	fmt.Fprintln(w)
}

// distances writes the keep-out distances of each unit, for the looks in which
// it gives ultraviolet; looks that ask the same of it share a row.
func (r *report) distances(w io.Writer) {
	fmt.Fprintf(w, "## Distances to keep, straight before the lamp\n\nNearer than this an eye passes the daily dose in the time given. Outputs at their upper end.\n\n")
	fmt.Fprintf(w, "| Unit | Looks | UV-A at 1 m, W/m² | 1 h | 2 h | 8 h |\n|---|---|---|---|---|---|\n")
	for i := range r.show.Rig.Units {
		if u := &r.show.Rig.Units[i]; u.Mode != nil && u.Type != nil {
			r.distancesOf(w, i, u)
		}
	}
	fmt.Fprintln(w)
}

func (r *report) distancesOf(w io.Writer, unit int, u *rig.Unit) {
	from, to := r.show.Rig.UnitDrives(unit)
	axis := NewAxis(u, r.show.Rig.Drives[from:to])
	names := map[string][]string{} // by the rest of the row
	var order []string
	for l := range r.show.Looks {
		if _, _, cues := r.stands(l); cues == nil {
			continue
		}
		levels := make([]float64, to-from)
		for d := range levels {
			levels[d] = float64(r.show.Looks[l].Levels[from+d])
		}
		at := func(far si.Length) float64 { return axis.Most(levels, room.UVA, far) }
		if at(1) < .005 {
			continue
		}
		row := si.Say(at(1), "")
		for _, hours := range []float64{1, 2, 8} {
			row += fmt.Sprintf(" | %.2f m", float64(Reach(at, dailyUVA/(3600*hours))))
		}
		if names[row] == nil {
			order = append(order, row)
		}
		names[row] = append(names[row], cell(r.show.Looks[l].Name))
	}
	for _, row := range order {
		fmt.Fprintf(w, "| %s | %s | %s |\n", cell(u.Name.Name), strings.Join(names[row], ", "), row)
	}
}

// Kinds of paper, in the order in which they are wanted.
var paperNames = []string{"sign", "announcement", "assessment", "uv log"}

// PaperNames lists the drafts that Paper writes.
func PaperNames() []string { return slices.Clone(paperNames) }

// Paper writes the draft of that name.
func Paper(ctx context.Context, w io.Writer, name string, s *show.Show, list []Finding) error {
	switch name {
	case "sign":
		Sign(w, s, list)
	case "announcement":
		Announcement(w, s, list)
	case "assessment":
		Assessment(w, s, list)
	case "uv log":
		return DayLog(ctx, w, s)
	default:
		return fmt.Errorf("there is no paper %q: there is %s", name, strings.Join(paperNames, ", "))
	}
	return nil
}
