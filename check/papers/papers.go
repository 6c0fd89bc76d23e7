// Package papers writes drafts of the papers that a house wants, filled with what was
// computed: [Paper] writes the one of a name, [Sign], [Announcement] and [Assessment]
// one each, as Markdown.
//
// The model: every figure in a paper is a finding's, so that the papers and the checks
// cannot disagree; everything else is wording, after common practice (no source). What
// was not computed is listed as such.
//
// A draft is no document: a competent person checks, completes and signs it, and local
// rules decide what must be said and where. The papers do not see the house: its exits,
// its staff, its language.
package papers

import (
	"context"
	"fmt"
	"io"
	"strings"

	"lampblack/check/dose"
	"lampblack/check/finding"
	"lampblack/room"
	"lampblack/show"
)

// Papers are drafts in Markdown, filled with what was computed. Each says that
// a competent person must complete it.

// draft begins each paper: a paper that looks finished would be pinned up unread.
const draft = "**Draft, filled by computation. A competent person must check, complete and sign it; local rules decide what must be said and where.**\n\n"

// facts are what the sign and the announcement tell, each the worst of its kind. A nil
// is a finding that the show does not have.
type facts struct {
	flash, red, union *finding.Finding
	seat, performer   *finding.Finding // ultraviolet doses
	blackout, path    *finding.Finding // the longest dark, and a path with too little light
}

func factsOf(list []finding.Finding) facts {
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

// worseOf is for values of which more is worse.
func worseOf(a, b *finding.Finding) *finding.Finding {
	if a == nil || b.Value > a.Value {
		return b
	}
	return a
}

// walked tells whether the audience walks: a room of paths without seats. With
// seats, the paths are the cast's.
func walked(s *show.Show) bool { return len(s.Room.Seats) == 0 }

// flashing tells how many flashes a second are announced, 0 for none worth it. It is
// what the worst eye sees in its worst second, or all units together, whichever is
// more: at the door the cautious figure is announced.
func (f *facts) flashing() float64 {
	most := 0.0
	for _, x := range []*finding.Finding{f.flash, f.red, f.union} {
		if x != nil {
			most = max(most, x.Value)
		}
	}
	if most < 2 {
		return 0 // a single accent in a second is no flashing light
	}
	return most
}

// Sign writes the wording of the warning sign at the entrance. It is written even when
// there is nothing to warn of, and then says so.
func Sign(w io.Writer, s *show.Show, list []finding.Finding) {
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

// warnings are the lines of the sign. Ultraviolet is announced whatever its dose: who
// is sensitive cannot know it otherwise. Darkness of the cast's paths concerns no
// visitor who sits.
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

// Announcement writes what front of house says before the show. The time of the
// flashing is that of the worst second, to the minute; earlier flashing that is milder
// is not told apart. The lines on exits and calm are always there, whatever was found.
func Announcement(w io.Writer, s *show.Show, list []finding.Finding) {
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

// orEmpty stands for a finding that is not there with a value that any other exceeds.
func orEmpty(f *finding.Finding) *finding.Finding {
	if f == nil {
		return &finding.Finding{Value: -1}
	}
	return f
}

// roughly is as exact as somebody in a seat counts.
func roughly(seconds float64) string {
	if seconds < 90 {
		return "a minute"
	}
	return fmt.Sprintf("%.0f minutes", seconds/60)
}

// Kinds of paper, in the order in which they are wanted.
var paperNames = []string{"sign", "announcement", "assessment", "uv log"}

// Paper writes the draft of that name.
func Paper(ctx context.Context, w io.Writer, name string, s *show.Show, list []finding.Finding) error {
	switch name {
	case "sign":
		Sign(w, s, list)
	case "announcement":
		Announcement(w, s, list)
	case "assessment":
		Assessment(w, s, list)
	case "uv log":
		fmt.Fprintf(w, "# Ultraviolet day log: %s\n\n%s", s.Bill.Title, draft)
		return dose.Log(ctx, w, s)
	default:
		return fmt.Errorf("there is no paper %q: there is %s", name, strings.Join(paperNames, ", "))
	}
	return nil
}
