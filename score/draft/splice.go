package draft

import (
	"fmt"
	"io"
	"path"
	"strings"
	"text/tabwriter"

	"lampblack/score"
	"lampblack/si"
	"lampblack/source"
)

// Splice puts the draft into the text of a score: cues and looks of an earlier
// draft go, the new ones are added, and all that a person wrote stays as it is,
// byte for byte.
func (r *Result) Splice(file string, text []byte, sc *score.Score) ([]byte, error) {
	text, err := Bare(file, text, sc, r.wish)
	if err != nil {
		return nil, err
	}
	if text, err = r.SpliceLooks(file, text); err != nil {
		return nil, err
	}
	return r.SpliceCues(file, text)
}

// SpliceLooks adds the looks of the draft to the text of a score.
func (r *Result) SpliceLooks(file string, text []byte) ([]byte, error) {
	t, faults := source.OpenText(file, text)
	if err := faults.Err(); err != nil {
		return nil, err
	}
	for _, l := range r.Looks { // each is put after those that were put there before
		if err := t.SetKey(source.Quote(l.Name), l.Value, "looks"); err != nil {
			return nil, fmt.Errorf("add look %q: %w", l.Name, err)
		}
	}
	return t.Bytes()
}

// SpliceCues adds the cues of the draft to a text of cues: a score, or a piece.
func (r *Result) SpliceCues(file string, text []byte) ([]byte, error) {
	t, faults := source.OpenText(file, text)
	if err := faults.Err(); err != nil {
		return nil, err
	}
	lines := make([]string, len(r.Cues))
	for i := range r.Cues {
		lines[i] = Line(&r.Cues[i])
	}
	if err := t.Append("cues", lines...); err != nil {
		return nil, fmt.Errorf("add %d cues: %w", len(lines), err)
	}
	return t.Bytes()
}

// Bare takes out of the text of a score what an earlier draft left in it. Looks of the
// draft that a person's cues, looks or wishes name are theirs now, and stay. A list
// that loses all its cues is cleared rather than removed: cues is a key that a score
// must have.
func Bare(file string, text []byte, sc *score.Score, w *Wish) ([]byte, error) {
	t, faults := source.OpenText(file, text)
	if err := faults.Err(); err != nil {
		return nil, err
	}
	if err := removeDrafted(t, sc); err != nil {
		return nil, fmt.Errorf("take out the earlier draft: %w", err)
	}
	text, err := t.Bytes()
	if err != nil {
		return nil, err
	}
	return BareLooks(file, text, sc, w)
}

// BareLooks takes the looks of an earlier draft out of the text of a score, of which sc has the
// cues, or those of a piece.
func BareLooks(file string, text []byte, sc *score.Score, w *Wish) ([]byte, error) {
	_, looks := bare(sc, w)
	if len(looks) == 0 {
		return text, nil
	}
	t, faults := source.OpenText(file, text)
	if err := faults.Err(); err != nil {
		return nil, err
	}
	if err := t.RemoveKeys(looks, "looks"); err != nil {
		return nil, fmt.Errorf("take out the earlier draft: %w", err)
	}
	return t.Bytes()
}

// BareCues takes the cues of an earlier draft out of a piece's text of cues.
func BareCues(file string, text []byte, sc *score.Score) ([]byte, error) {
	t, faults := source.OpenText(file, text)
	if err := faults.Err(); err != nil {
		return nil, err
	}
	if err := removeDrafted(t, sc); err != nil {
		return nil, fmt.Errorf("take out the earlier draft: %w", err)
	}
	return t.Bytes()
}

// replaced tells whether the next draft replaces a cue: one of the draft, unless somebody says
// that a thing enters or leaves by it.
func replaced(c *score.Cue, staged map[string]bool) bool {
	return c.By == score.Draft && !staged[c.Number.Name]
}

// removeDrafted takes drafted cues out of a text.
func removeDrafted(t *source.Text, sc *score.Score) error {
	var cues []int
	staged := sc.StageCues()
	for i := range sc.Cues {
		if replaced(&sc.Cues[i], staged) {
			cues = append(cues, i)
		}
	}
	if len(cues) > 0 && len(cues) == len(sc.Cues) {
		return t.Clear("cues")
	}
	return t.Remove("cues", cues...)
}

// bare is Bare for a score that was read, and names the looks that go. A look is kept
// with all that it is like.
func bare(sc *score.Score, w *Wish) (out *score.Score, gone []string) {
	kept := map[string]bool{}
	keep := func(name string) {
		for l := sc.Looks.Get(name); l != nil && !kept[name]; l = sc.Looks.Get(name) {
			kept[name] = true
			name = l.Like.Name
		}
	}
	for _, l := range sc.Looks {
		if l.Value.By != score.Draft {
			keep(l.Name)
		}
	}
	o := *sc
	o.Cues, o.Looks = nil, nil
	staged := sc.StageCues()
	for i := range sc.Cues {
		if !replaced(&sc.Cues[i], staged) {
			keep(sc.Cues[i].Look.Name)
			o.Cues = append(o.Cues, sc.Cues[i])
		}
	}
	for _, name := range w.looks() {
		keep(name)
	}
	if w != nil {
		for _, name := range w.others {
			keep(name)
		}
	}
	for _, l := range sc.Looks {
		if kept[l.Name] {
			o.Looks = append(o.Looks, l)
		} else {
			gone = append(gone, l.Name)
		}
	}
	return &o, gone
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

// Beside is the file of a piece that holds what one of the folder's own piece holds: beside its
// cues, "pieces/encore.yaml", it is "pieces/encore-draft.yaml".
func Beside(cues, file string) string { return strings.TrimSuffix(cues, path.Ext(cues)) + "-" + file }
