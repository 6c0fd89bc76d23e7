package draft

import (
	"fmt"
	"io"
	"text/tabwriter"

	"lampblack/score"
	"lampblack/si"
	"lampblack/source"
)

// Splice puts the draft into the text of a score: cues of an earlier draft go,
// the new ones and the looks that they need are added, and all that a person
// wrote stays as it is, byte for byte.
func (r *Result) Splice(file string, text []byte, sc *score.Score) ([]byte, error) {
	t, faults := source.OpenText(file, text)
	if err := faults.Err(); err != nil {
		return nil, err
	}
	for i := len(sc.Cues) - 1; i >= 0; i-- {
		if sc.Cues[i].By != score.Draft {
			continue
		}
		if err := t.Remove("cues", i); err != nil {
			return nil, fmt.Errorf("take out drafted cue %s: %w", sc.Cues[i].Number, err)
		}
	}
	for _, l := range r.Looks {
		if sc.Looks.Get(l.Name) != nil {
			continue
		}
		if err := t.SetKey(source.Quote(l.Name), l.Value, "looks"); err != nil {
			return nil, fmt.Errorf("add look %q: %w", l.Name, err)
		}
	}
	for i := range r.Cues {
		if err := t.Append("cues", Line(&r.Cues[i])); err != nil {
			return nil, fmt.Errorf("add cue %s: %w", r.Cues[i].Number, err)
		}
	}
	return t.Bytes()
}

// WriteExplanation writes why each cue is there, and why each strong moment
// without one was left out.
func (r *Result) WriteExplanation(w io.Writer) error {
	t := tabwriter.NewWriter(w, 0, 8, 2, ' ', 0)
	fmt.Fprintln(t, "sections")
	for _, p := range r.parts {
		fmt.Fprintf(t, "  %s\t%s\t%s\tenergy %.2f\n", si.FormatTime(p.from), p.label, p.mood, p.energy)
	}
	fmt.Fprintln(t, "\ncues")
	for i := range r.Cues {
		c := &r.Cues[i]
		fmt.Fprintf(t, "  %s\t%s\t%s\t%s\n", si.FormatTime(when(c)), c.Number, c.Look, c.Why)
	}
	fmt.Fprintln(t, "\nleft out")
	for _, l := range r.Left {
		fmt.Fprintf(t, "  %s\t%s\t%.2f\t%s\n", si.FormatTime(l.Moment.Time), l.Moment.Kind, l.Moment.Strength, l.Why)
	}
	if !r.Proven {
		fmt.Fprintln(t, "\nthe casting of looks was not searched to its end; a better one may exist")
	}
	return t.Flush()
}
