package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"text/tabwriter"
	"time"

	"github.com/spf13/cobra"

	"lampblack/score"
	"lampblack/score/retime"
	"lampblack/show"
	"lampblack/si"
	"lampblack/soundfile"
	"lampblack/soundtrack"
	"lampblack/soundtrack/retake"
	"lampblack/source"
)

const retimeHelp = `Move a show's cues to a new take of its soundtrack: one that was cut, extended,
reordered, started later, played a little faster, or saved in another form.

Each cue goes where its moment went. Cues whose moment is not in the new take
are taken out and kept in cut-cues.yaml, word for word; cues whose place is
doubtful are moved and named; strong new moments are told. The show then plays
FILE, which is copied into its folder.

A small file beside the soundtrack (its name and .print) remembers it, so that
the old file need not be kept: --remember writes it for the present soundtrack.`

type retimeFlags struct {
	look, remember, json bool
	picture              string
}

func retimeCmd() *cobra.Command {
	var f retimeFlags
	c := &cobra.Command{
		Use:   "retime DIR [FILE]",
		Short: "move the cues to a new take of the soundtrack",
		Long:  retimeHelp,
		Args:  cobra.RangeArgs(1, 2),
		RunE: func(c *cobra.Command, args []string) error {
			l := &loaded{dir: args[0]}
			var faults source.Faults
			var err error
			l.files, faults, err = read(args[0])
			if err == nil {
				err = faults.Err()
			}
			switch {
			case err != nil:
				return err
			case f.remember:
				return l.remember()
			case len(args) == 1:
				return hinted{errors.New("the new take is not named"), "as in `lampblack retime " + args[0] + " new.wav`"}
			}
			return l.retime(c, args[1], f)
		},
	}
	c.Flags().BoolVar(&f.look, "look", false, "tell what would move, and write nothing")
	c.Flags().BoolVar(&f.remember, "remember", false, "remember the present soundtrack, and stop there")
	c.Flags().BoolVar(&f.json, "json", false, "print JSON")
	c.Flags().StringVar(&f.picture, "picture", "", "write a picture of what went where (.svg)")
	return c
}

const printEnding = ".print"

// remember writes the print of the present soundtrack beside it.
func (l *loaded) remember() error {
	path, err := l.soundtrack()
	if err != nil {
		return err
	}
	p, err := takePrint(path)
	if err != nil {
		return err
	}
	return writePrint(path+printEnding, p)
}

func takePrint(path string) (*retake.Print, error) {
	s, err := soundfile.OpenFile(path)
	if err != nil {
		return nil, err
	}
	defer s.Close()
	return retake.Take(s)
}

func writePrint(path string, p *retake.Print) error {
	data, err := p.MarshalBinary()
	if err != nil {
		return err
	}
	return source.WriteFile(path, data)
}

// oldPrint takes the print of the present soundtrack, or what was remembered
// of it.
func (l *loaded) oldPrint() (*retake.Print, error) {
	if path, err := l.soundtrack(); err == nil {
		return takePrint(path)
	}
	name := filepath.Join(l.dir, filepath.FromSlash(l.files.Bill.Soundtrack.Name)) + printEnding
	f, err := os.Open(name)
	if err != nil {
		return nil, hinted{fmt.Errorf("neither the old soundtrack nor %s is there", filepath.Base(name)), "put the old soundtrack back for this once"}
	}
	defer f.Close()
	return retake.ReadPrint(f)
}

// retimed is all that a retime computes before anything is written.
type retimed struct {
	m       retake.Map
	result  *retime.Result
	take    *soundtrack.Track
	strong  []soundtrack.Moment
	newName string
}

func (l *loaded) retime(c *cobra.Command, file string, f retimeFlags) error {
	r, err := l.compute(c.Context(), c.ErrOrStderr(), file)
	if err != nil {
		return err
	}
	if f.picture != "" {
		if err := source.WriteFile(f.picture, []byte(r.m.SVG())); err != nil {
			return err
		}
	}
	if err := r.report(c.OutOrStdout(), f.json); err != nil || f.look {
		return err
	}
	return l.write(r, file)
}

func (l *loaded) compute(ctx context.Context, words io.Writer, file string) (*retimed, error) {
	old, err := l.oldPrint()
	if err != nil {
		return nil, err
	}
	s, err := soundfile.OpenFile(file)
	if err != nil {
		return nil, err
	}
	defer s.Close()
	r := &retimed{newName: filepath.Base(file)}
	if r.m, err = retake.Align(old, s); err != nil {
		return nil, err
	}
	bar := newProgress(words, "listening to "+r.newName)
	r.take, err = soundtrack.Listen(ctx, file, cacheDir(), soundtrack.Options{Progress: bar.set})
	bar.done()
	if err != nil {
		return nil, err
	}
	text, err := os.ReadFile(filepath.Join(l.dir, show.ScoreFile))
	if err != nil {
		return nil, err
	}
	r.result, err = retime.Move(show.ScoreFile, text, l.files.Score, r.m, retime.Options{Moment: l.moments(ctx, words), Bar: r.bar})
	if err != nil {
		return nil, err
	}
	r.strong = r.newMoments()
	return r, nil
}

// moments gives the old take's time of every cue. The old soundtrack is heard
// only for cues on bars: all others carry a time.
func (l *loaded) moments(ctx context.Context, words io.Writer) func(cue int) time.Duration {
	var bars []soundtrack.Moment
	counted := slices.ContainsFunc(l.files.Score.Cues, func(c score.Cue) bool { return c.On != nil && c.On.Kind == "bar" })
	if counted {
		if t, err := l.listen(ctx, words); err == nil {
			bars = t.Moments
		}
	}
	return func(cue int) time.Duration {
		c := &l.files.Score.Cues[cue]
		if c.At != nil {
			return *c.At
		}
		for _, m := range bars {
			if c.On.Kind == "bar" && m.Bar == c.On.Bar && max(m.Beat, 1) == c.On.Beat {
				return m.Time
			}
		}
		return c.On.Near
	}
}

// bar names the beat that the new take has at a time.
func (r *retimed) bar(at time.Duration) (score.Anchor, bool) {
	const near = 80 * time.Millisecond
	for _, m := range r.take.Moments {
		if m.Bar > 0 && (m.Time-at).Abs() <= near {
			return score.Anchor{Kind: "bar", Bar: m.Bar, Beat: max(m.Beat, 1)}, true
		}
	}
	return score.Anchor{}, false
}

// newMoments lists the strongest hits of what is new in the take.
func (r *retimed) newMoments() []soundtrack.Moment {
	const most = 10
	var out []soundtrack.Moment
	for _, m := range r.take.Ranked(-1) {
		isNew := slices.ContainsFunc(r.m.Added, func(i retake.Interval) bool { return m.Time >= i.From && m.Time < i.To })
		if isNew && len(out) < most {
			out = append(out, m)
		}
	}
	return out
}

// write puts the new take, its print, the score and the cut cues into the
// folder. The show's own file is last: until it names the new take, the old
// show stands.
func (l *loaded) write(r *retimed, file string) error {
	path := filepath.Join(l.dir, r.newName)
	print, err := takePrint(file)
	if err != nil {
		return err
	}
	if same, err := sameFile(file, path); err != nil {
		return err
	} else if !same {
		if _, err := os.Stat(path); err == nil {
			return hinted{fmt.Errorf("the show's folder already holds another %s", r.newName), "give the new take another name"}
		}
		data, err := os.ReadFile(file)
		if err != nil {
			return err
		}
		if err := source.WriteFile(path, data); err != nil {
			return err
		}
	}
	bill, err := os.ReadFile(filepath.Join(l.dir, show.BillFile))
	if err != nil {
		return err
	}
	text, faults := source.OpenText(show.BillFile, bill)
	if faults.Err() != nil {
		return faults
	}
	if err := text.SetKey("soundtrack", source.Quote(r.newName)); err != nil {
		return err
	}
	if bill, err = text.Bytes(); err != nil {
		return err
	}
	if err := l.keepAside(r.result.Aside); err != nil {
		return err
	}
	if err := writePrint(path+printEnding, print); err != nil {
		return err
	}
	if err := source.WriteFile(filepath.Join(l.dir, show.ScoreFile), r.result.Score); err != nil {
		return err
	}
	return source.WriteFile(filepath.Join(l.dir, show.BillFile), bill)
}

func sameFile(a, b string) (bool, error) {
	x, err := os.Stat(a)
	if err != nil {
		return false, err
	}
	y, err := os.Stat(b)
	if errors.Is(err, os.ErrNotExist) {
		return false, nil
	}
	return err == nil && os.SameFile(x, y), err
}

// keepAside adds the cues that were cut to those of earlier times.
func (l *loaded) keepAside(cues string) error {
	if cues == "" {
		return nil
	}
	name := filepath.Join(l.dir, "cut-cues.yaml")
	data, err := os.ReadFile(name)
	if errors.Is(err, os.ErrNotExist) {
		data, err = []byte("# Cues whose moments were cut from the soundtrack. The show does not read this\n# file: copy a cue back into score.yaml when its place is known.\ncues:\n"), nil
	}
	if err != nil {
		return err
	}
	return source.WriteFile(name, append(data, cues...))
}

// retimeJSON is the form of retime --json; times in seconds.
type retimeJSON struct {
	Cues []retimedCue `json:"cues"`
	Cut  []spanJSON   `json:"cut"`
	New  []spanJSON   `json:"added"`
}

type retimedCue struct {
	Cue        string    `json:"cue"`
	Old        float64   `json:"old"`
	New        float64   `json:"new"`
	Confidence float64   `json:"confidence"`
	Cut        bool      `json:"cut"`
	Doubtful   bool      `json:"doubtful"`
	Also       []float64 `json:"also,omitempty"`
}

type spanJSON struct {
	From float64 `json:"from"`
	To   float64 `json:"to"`
}

func (r *retimed) report(w io.Writer, asJSON bool) error {
	if !asJSON {
		return r.table(w)
	}
	out := retimeJSON{Cues: []retimedCue{}, Cut: spans(r.m.Cut), New: spans(r.m.Added)}
	for _, c := range r.result.Cues {
		cue := retimedCue{Cue: c.Number, Old: c.Old.Seconds(), New: c.New.Seconds(), Confidence: c.Confidence, Cut: c.Cut, Doubtful: c.Doubtful}
		for _, a := range c.Also {
			cue.Also = append(cue.Also, a.Seconds())
		}
		out.Cues = append(out.Cues, cue)
	}
	return writeJSON(w, out)
}

func spans(list []retake.Interval) []spanJSON {
	out := []spanJSON{}
	for _, i := range list {
		out = append(out, spanJSON{i.From.Seconds(), i.To.Seconds()})
	}
	return out
}

func (r *retimed) table(w io.Writer) error {
	fmt.Fprintln(w, r.m.String())
	tw := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	fmt.Fprintln(tw, "CUE\tWAS\tIS\tSURE\t")
	for _, c := range r.result.Cues {
		note := ""
		switch {
		case c.Cut:
			fmt.Fprintf(tw, "%s\t%s\tcut\t\tkept aside in cut-cues.yaml\n", c.Number, si.FormatTime(c.Old))
			continue
		case c.Doubtful:
			note = "listen to this one"
		case len(c.Also) > 0:
			note = "also at " + si.FormatTime(c.Also[0])
		}
		fmt.Fprintf(tw, "%s\t%s\t%s\t%.0f %%\t%s\n", c.Number, si.FormatTime(c.Old), si.FormatTime(c.New), 100*c.Confidence, note)
	}
	if err := tw.Flush(); err != nil {
		return err
	}
	for _, m := range r.strong {
		fmt.Fprintf(w, "new: %s at %s, %s\n", m.Kind, si.FormatTime(m.Time), m.Why)
	}
	return nil
}
