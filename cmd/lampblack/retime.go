package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"math"
	"path/filepath"
	"strings"
	"text/tabwriter"

	"github.com/spf13/cobra"

	"lampblack/folder"
	"lampblack/score/retime"
	"lampblack/si"
	"lampblack/soundfile"
	"lampblack/soundtrack"
	"lampblack/soundtrack/retake"
	"lampblack/source"
)

const retimeHelp = `Move a show to a new take of its soundtrack: one that was cut, extended,
reordered, started later, played a little faster, or saved in another form.

Each cue goes where its moment went, and so does all else that names a time:
calm spans, the sections of draft.yaml, the decisions of spotting.yaml. What is
not in the new take is taken out and kept, word for word, in cut-cues.yaml,
cut-calm.yaml, cut-sections.yaml and cut-decisions.yaml; what is doubtful is
moved and named; strong new moments are told. The show then plays FILE, which is
copied into its folder. A cue at 0:00, the light that people come into, stays
there. All of it is written, or nothing.

A FILE of a name that the folder has already comes in under another, as new-2.wav;
the old one is never written over. --undo takes the last retime back: every text is
what it was, unless it was changed since.

A small file beside the soundtrack (its name and .print) remembers it, so that
the old file need not be kept: --remember writes it for the present soundtrack.`

type retimeFlags struct {
	look, remember, json, undo bool
	picture                    string
}

// retimeCmd reads the texts alone: a show is moved whether or not it can be solved.
func retimeCmd() *cobra.Command {
	var f retimeFlags
	c := &cobra.Command{
		Use:   "retime DIR [FILE]",
		Short: "move the show to a new take of the soundtrack",
		Long:  retimeHelp,
		Args:  cobra.RangeArgs(1, 2),
		RunE: func(c *cobra.Command, args []string) error {
			l, err := readWell(c, args[0])
			if f.undo && l != nil {
				defer l.close()
				return l.undoRetime(c.OutOrStdout(), args)
			}
			if err != nil {
				return err
			}
			defer l.close()
			if l.of, err = l.filesOf(pieceNamed(c)); err != nil {
				return err
			}
			if err := l.sounds(); err != nil {
				return err
			}
			switch {
			case f.remember:
				return l.remember(c.Context())
			case len(args) == 1:
				return hinted{errors.New("the new take is not named"), "as in `lampblack retime " + args[0] + " new.wav`"}
			}
			return l.retime(c, args[1], f)
		},
	}
	c.Flags().BoolVar(&f.look, "look", false, "tell what would move, and write nothing")
	c.Flags().BoolVar(&f.remember, "remember", false, "remember the present soundtrack, and stop there")
	c.Flags().BoolVar(&f.undo, "undo", false, "take the last retime back")
	c.Flags().BoolVar(&f.json, "json", false, "print JSON")
	c.Flags().StringVar(&f.picture, "picture", "", "write a picture of what went where (.svg or .png)")
	return pieceFlag(c)
}

// undoRetime takes the last retime back, also of a show whose files have faults now.
func (l *loaded) undoRetime(w io.Writer, args []string) error {
	if len(args) > 1 {
		return errors.New("--undo takes no file")
	}
	names, err := retime.Undo(l.folder)
	switch {
	case errors.Is(err, retime.ErrEdited):
		return hinted{err, retime.BeforeFile + " holds the texts as they were"}
	case err != nil:
		return unlessChanged(err)
	}
	fmt.Fprintf(w, "as before the retime: %s\n", strings.Join(names, ", "))
	return nil
}

// remember writes the print of the present soundtrack beside it.
func (l *loaded) remember(ctx context.Context) error {
	path, err := l.sound(l.of.sound)
	if err != nil {
		return err
	}
	p, err := takePrint(ctx, path)
	if err != nil {
		return err
	}
	e := l.folder.Edit()
	if err := retime.PutPrint(e, l.of.sound.Name, p); err != nil {
		return err
	}
	return unlessChanged(e.Commit())
}

// takePrint makes the print of a sound file, reading it once.
func takePrint(ctx context.Context, path string) (*retake.Print, error) {
	s, err := soundfile.OpenFile(ctx, path)
	if err != nil {
		return nil, err
	}
	defer s.Close()
	return retake.Take(s)
}

// oldPrint takes the print of the present soundtrack, or what was remembered
// of it.
func (l *loaded) oldPrint(ctx context.Context) (*retake.Print, error) {
	if path, err := l.sound(l.of.sound); err == nil {
		return takePrint(ctx, path)
	}
	p, err := retime.OldPrint(ctx, l.folder, l.of.sound.Name)
	if err != nil {
		err = hinted{err, "put the old soundtrack back for this once"}
	}
	return p, err
}

// retimed is all that a retime computes before anything is written.
type retimed struct {
	m      retake.Map
	result *retime.Result
	strong []soundtrack.Moment
	take   retime.Take

	renamed bool    // the folder had another file of the take's name
	louder  float64 // LU, than the take before; 0 where that was not heard
}

// retime does in order what may fail: it computes, draws, takes the print of the new
// sound, and only then writes, all at once.
func (l *loaded) retime(c *cobra.Command, file string, f retimeFlags) error {
	ctx := c.Context()
	r, err := l.compute(ctx, c.ErrOrStderr(), file)
	if err != nil {
		return err
	}
	if f.picture != "" {
		data, err := r.m.Draw().File(f.picture)
		if err != nil {
			return err
		}
		if err := folder.WriteFile(ctx, f.picture, data); err != nil {
			return err
		}
	}
	if !f.look {
		if r.take.Print, err = takePrint(ctx, file); err != nil {
			return err
		}
		if err := l.takeIn(ctx, r); err != nil {
			return err
		}
	}
	return r.report(c.OutOrStdout(), f.json)
}

// mostTakes bounds how many takes of one name a folder holds.
const mostTakes = 99

// takeIn writes it all, the take under a name that is free.
func (l *loaded) takeIn(ctx context.Context, r *retimed) error {
	name := r.take.Name
	for n := 2; ; n++ {
		err := r.result.Commit(ctx, l.folder, r.take)
		switch {
		case !errors.Is(err, retime.ErrTaken):
			return unlessChanged(err)
		case n > mostTakes:
			return hinted{err, "give the new take another name"}
		}
		end := filepath.Ext(name)
		r.take.Name = fmt.Sprintf("%s-%d%s", strings.TrimSuffix(name, end), n, end)
		r.renamed = true
	}
}

// compute reads the new take twice, to map it and to listen to it; neither needs the
// other, but the moments need the map.
func (l *loaded) compute(ctx context.Context, words io.Writer, file string) (*retimed, error) {
	old, err := l.oldPrint(ctx)
	if err != nil {
		return nil, err
	}
	s, err := soundfile.OpenFile(ctx, file)
	if err != nil {
		return nil, err
	}
	defer s.Close()
	r := &retimed{take: retime.Take{Path: file, Name: filepath.Base(file)}}
	heard := retime.Heard{Old: func() (*soundtrack.Track, error) { return l.oldTrack(ctx, words) }}
	if r.m, err = retake.Align(old, s); err != nil {
		return nil, err
	}
	bar := newProgress(words, "listening to "+r.take.Name)
	heard.New, err = soundtrack.Listen(ctx, file, cacheDir(), soundtrack.Options{Progress: bar.set})
	bar.done()
	if err != nil {
		return nil, err
	}
	options := heard.Options()
	options.Piece = l.of.other
	if r.result, err = retime.Move(l.folder, r.m, options); err != nil {
		return nil, err
	}
	r.strong = heard.Fresh(r.m, 10)
	if was, err := l.oldTrack(ctx, words); err == nil && was.Programme > silence && heard.New.Programme > silence {
		r.louder = heard.New.Programme - was.Programme
	}
	return r, nil
}

// silence is a loudness that nothing has, LUFS.
const silence = -100

// louderText says by how much the new take is louder or softer, where people hear it: 1 LU and
// more (common practice, no source); "" else.
func (r *retimed) louderText() string {
	switch {
	case r.louder >= 1:
		return fmt.Sprintf("the new take is %.1f LU louder: level: %.1f dB beside the soundtrack would keep it as it was", r.louder, -r.louder)
	case r.louder <= -1:
		return fmt.Sprintf("the new take is %.1f LU softer: level: %.1f dB beside the soundtrack would keep it as it was, if that leaves room", -r.louder, -r.louder)
	}
	return ""
}

// oldTrack listens to the present soundtrack, once: for cues on counted bars, and for how loud
// it is.
func (l *loaded) oldTrack(ctx context.Context, words io.Writer) (*soundtrack.Track, error) {
	var err error
	if l.heard == nil {
		if l.heard, err = l.listen(ctx, words, l.of.sound); err != nil {
			err = hinted{err, "put the old soundtrack back for this once"}
		}
	}
	return l.heard, err
}

// retimeJSON is the form of retime --json; times in seconds.
type retimeJSON struct {
	Cues   []retimedCue `json:"cues"`
	Others []retimedCue `json:"others"`
	Take   string       `json:"take"`   // the file that the show now plays
	Louder float64      `json:"louder"` // LU, than the take before
	Cut    []spanJSON   `json:"cut"`
	New    []spanJSON   `json:"added"`
}

// retimedCue is one thing that was moved: Cue for a cue, Kind and Name for all else;
// New is 0 when it was cut.
type retimedCue struct {
	Kind       retime.Kind `json:"kind,omitempty"`
	Cue        string      `json:"cue,omitempty"`
	Name       string      `json:"name,omitempty"`
	Old        float64     `json:"old"`
	New        float64     `json:"new"`
	Confidence float64     `json:"confidence"`
	Cut        bool        `json:"cut"`
	Doubtful   bool        `json:"doubtful"`
	Timed      bool        `json:"timed"`
	Also       []float64   `json:"also,omitempty"`
}

type spanJSON struct {
	From float64 `json:"from"`
	To   float64 `json:"to"`
}

// report tells everything that was moved, cues apart from the rest, as scripts mostly
// want the cues.
func (r *retimed) report(w io.Writer, asJSON bool) error {
	if !asJSON {
		return r.table(w)
	}
	out := retimeJSON{Cues: []retimedCue{}, Others: []retimedCue{}, Take: r.take.Name, Louder: math.Round(r.louder*10) / 10, Cut: spans(r.m.Cut), New: spans(r.m.Added)}
	for _, m := range r.result.Moved {
		x := retimedCue{Old: m.Old.Seconds(), New: m.New.Seconds(), Confidence: m.Confidence, Cut: m.Cut, Doubtful: m.Doubtful, Timed: m.Timed}
		for _, a := range m.Also {
			x.Also = append(x.Also, a.Seconds())
		}
		if m.Kind == retime.Cue {
			x.Cue = m.Name
			out.Cues = append(out.Cues, x)
			continue
		}
		x.Kind, x.Name = m.Kind, m.Name
		out.Others = append(out.Others, x)
	}
	return writeJSON(w, out)
}

// spans are intervals in seconds; an empty list is [] and not null.
func spans(list []retake.Interval) []spanJSON {
	out := []spanJSON{}
	for _, i := range list {
		out = append(out, spanJSON{i.From.Seconds(), i.To.Seconds()})
	}
	return out
}

// table begins with what happened to the sound, since that explains what happened to
// the cues.
func (r *retimed) table(w io.Writer) error {
	fmt.Fprintln(w, r.m.String())
	var cues, others []retime.Moved
	for _, m := range r.result.Moved {
		if m.Kind == retime.Cue {
			cues = append(cues, m)
		} else {
			others = append(others, m)
		}
	}
	if err := errors.Join(movedTable(w, "CUE", cues), movedTable(w, "\nOTHER", others)); err != nil {
		return err
	}
	if r.renamed {
		fmt.Fprintf(w, "taken in as %s: the folder has another file of its name\n", source.Visible(r.take.Name))
	}
	if text := r.louderText(); text != "" {
		fmt.Fprintln(w, text)
	}
	for _, m := range r.strong {
		fmt.Fprintf(w, "new: %s at %s, %s\n", m.Kind, si.FormatTime(m.Time), m.Why)
	}
	return nil
}

// movedTable tells where things went; no table of none.
func movedTable(w io.Writer, head string, list []retime.Moved) error {
	if len(list) == 0 {
		return nil
	}
	tw := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	fmt.Fprintf(tw, "%s\tWAS\tIS\tSURE\t\n", head)
	for _, m := range list {
		name, note := m.Name, ""
		if m.Kind != retime.Cue {
			name = m.String()
		}
		switch {
		case m.Cut:
			where := "nothing of it is left"
			if file := retime.AsideFile(m.Kind); file != "" {
				where = "kept aside in " + file
			}
			fmt.Fprintf(tw, "%s\t%s\tcut\t\t%s\n", name, si.FormatTime(m.Old), where)
			continue
		case m.Timed:
			note = "by its time now: the new take has no such moment there"
		case m.Doubtful:
			note = "listen to this one"
		case len(m.Also) > 0:
			note = "also at " + si.FormatTime(m.Also[0])
		}
		fmt.Fprintf(tw, "%s\t%s\t%s\t%.0f %%\t%s\n", name, si.FormatTime(m.Old), si.FormatTime(m.New), 100*m.Confidence, note)
	}
	return tw.Flush()
}
