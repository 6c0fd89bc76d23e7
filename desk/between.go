package desk

import (
	"fmt"
	"io"
	"text/tabwriter"
	"time"

	"lampblack/si"
	"lampblack/source"
)

// Step is a step of a running order on the line of the evening that was reduced.
type Step struct {
	Name  string
	At    time.Duration
	Hand  bool   // somebody begins it: the desk is to be recalled by hand where no notes come
	Words string // what is said before it
}

// WriteOrder writes what to recall as each step of an evening begins: for the hand between
// pieces, and for whoever takes the evening up in its middle.
func (p *Plan) WriteOrder(w io.Writer, steps []Step) error {
	t := tabwriter.NewWriter(w, 0, 8, 2, ' ', 0)
	fmt.Fprintf(t, "%s on %s: what to recall between the pieces\n\n", source.Visible(p.Show.Bill.Title), source.Visible(p.Desk.Name))
	fmt.Fprintln(t, "usually at\tstep\tbegins\trecall\tstandby")
	for i, s := range steps {
		next := p.Show.Length
		if i+1 < len(steps) {
			next = steps[i+1].At
		}
		begins := "by itself"
		if s.Hand {
			begins = "by hand"
		}
		fmt.Fprintf(t, "%s\t%s\t%s\t%s\t%s\n", si.FormatTime(s.At), source.Visible(s.Name), begins, p.standsFrom(s.At, next), source.Visible(s.Words))
	}
	return t.Flush()
}

// near is how soon after a step's beginning its first recall comes: fades that are cut into
// steps arrive late.
const near = 5 * time.Second

// standsFrom is the scene that stands at a step's beginning: the first that is recalled in it,
// or that which was recalled last.
func (p *Plan) standsFrom(from, to time.Duration) string {
	stands := -1
	for _, r := range p.Recalls {
		if r.Step {
			continue // on the way to another
		}
		if r.Lit >= to || r.Lit >= from && stands >= 0 && r.Lit-from > near {
			break
		}
		stands = r.Scene
		if r.Lit >= from {
			break
		}
	}
	if stands < 0 {
		return "nothing yet"
	}
	s := &p.Scenes[stands]
	return p.place(s) + " " + source.Visible(s.Name) + ", " + s.recall()
}
