package main

import (
	"context"
	"fmt"
	"path/filepath"
	"time"

	"github.com/spf13/cobra"

	"lampblack/check"
	"lampblack/score/draft"
	"lampblack/show"
	"lampblack/si"
	"lampblack/soundtrack"
)

const draftHelp = `Propose cues for the whole soundtrack: on its hits, turns, swells and hushes,
each with a reason, chosen together by exact optimisation. Nothing bumps in the
score's calm spans and little under a voice that is heard, and no more cues are
proposed than the score's brief has room for.

What is proposed is measured as ` + "`lampblack check`" + ` measures: a cue that makes any
warning worse, or brings a new one, becomes slower or smaller, takes another
look, gives way to another cue, or is left out, until the show checks no worse
than without the draft. Accents at most double what the section's look gives,
unless its mood is fierce or you name the accent. Work light and safety light,
marked by "use" in rig.yaml or in a look, is no accent, and paths keep it.

draft.yaml in the show's folder, if it is there, says what the director wants:
cues per minute, and for each section a mood (still, calm, lively, fierce), a
look, or colours; spotting.yaml what was accepted and rejected of the moments.

Cues and looks that a person wrote or accepted are never touched; those of an
earlier draft are replaced. Accept a drafted cue or look by changing its
"by: draft" into "by: accepted".`

// draftCmd solves the show as it stands, drafts, and writes the score; the seed on the
// command line outranks that of draft.yaml.
func draftCmd() *cobra.Command {
	var look, explain bool
	var seed int
	c := &cobra.Command{
		Use:   "draft DIR",
		Short: "propose cues for the whole soundtrack",
		Long:  draftHelp,
		Args:  dirArg,
		RunE: func(c *cobra.Command, args []string) error {
			l, s, err := solved(c, args[0])
			if err != nil {
				return err
			}
			if l.of, err = l.filesOf(pieceNamed(c)); err != nil {
				return err
			}
			r, texts, err := l.draft(c, s, seed)
			if err != nil {
				return err
			}
			return l.writeDraft(c, r, texts, look, explain)
		},
	}
	c.Flags().BoolVar(&look, "look", false, "print the score as it would become, and write nothing")
	c.Flags().BoolVar(&explain, "explain", false, "print why each cue is there, and why strong moments were left out")
	c.Flags().IntVar(&seed, "seed", 0, "another number turns the colours of looks that the draft makes")
	return pieceFlag(c)
}

// draft proposes, and returns the texts with the draft in them.
func (l *loaded) draft(c *cobra.Command, s *show.Show, seed int) (*draft.Result, draftTexts, error) {
	if err := l.sounds(); err != nil {
		return nil, draftTexts{}, err
	}
	wish, err := l.wish()
	if err != nil {
		return nil, draftTexts{}, err
	}
	if seed != 0 {
		wish.Seed = seed
	}
	wish.Keep(l.looksOfOthers())
	decisions, err := l.decisions()
	if err != nil {
		return nil, draftTexts{}, err
	}
	texts, err := l.draftTexts()
	if err != nil {
		return nil, draftTexts{}, err
	}
	b, err := bareShow(c.Context(), s, texts, wish)
	if err != nil {
		return nil, draftTexts{}, err
	}
	o := draft.Known(b.show)
	o.Wish, o.Decisions, o.Judge = wish, decisions, b.judge
	r, faults, err := draft.Draft(c.Context(), s.Track, b.show.Score, o)
	if err == nil {
		err = faults.Err()
	}
	if err != nil {
		return nil, draftTexts{}, err
	}
	texts, err = b.texts.splice(r, b.show.Score)
	return r, texts, err
}

// looksOfOthers are the looks that standing looks and the cues of other pieces name: they stay,
// whoever made them.
func (l *loaded) looksOfOthers() []string {
	var out []string
	for _, o := range l.files.Orders() {
		if o == nil {
			continue
		}
		for i := range o.Steps {
			s := &o.Steps[i]
			if s.Look.Name != "" {
				out = append(out, s.Look.Name)
			}
			if s.Cues.Name != "" && s.Cues.Name != l.of.cues {
				out = append(out, s.LooksOfCues()...)
			}
		}
	}
	if l.of.other != nil {
		for i := range l.files.Score.Cues {
			out = append(out, l.files.Score.Cues[i].Look.Name)
		}
	}
	return out
}

// wish is what the director wants; a show without the file wants nothing in particular.
func (l *loaded) wish() (*draft.Wish, error) {
	data, err := l.folder.Optional(l.of.wish)
	if err != nil || data == nil {
		return &draft.Wish{}, err
	}
	wish, faults := draft.ReadWish(l.of.wish, data)
	return wish, faults.Err()
}

// beforeDraft is a show without what an earlier draft left in it, against which
// proposals are held.
type beforeDraft struct {
	show   *show.Show
	texts  draftTexts // of its score
	before *check.Comparison
}

// bareShow solves the score without an earlier draft once, for the comparison: the room
// is not solved again.
func bareShow(ctx context.Context, s *show.Show, texts draftTexts, wish *draft.Wish) (*beforeDraft, error) {
	texts, err := texts.bare(s.Score, wish)
	if err != nil {
		return nil, err
	}
	sc, faults := texts.read()
	if faults.Err() != nil {
		return nil, faults
	}
	bare, faults := s.With(sc)
	if faults.Err() != nil {
		return nil, faults
	}
	before, err := check.Compare(ctx, bare)
	return &beforeDraft{bare, texts, before}, err
}

// judge tells what a proposal makes worse. The proposal goes the way of a file: spliced
// into the texts and read back, so what is judged is what would be written.
func (b *beforeDraft) judge(ctx context.Context, r *draft.Result) ([]draft.Objection, error) {
	texts, err := b.texts.splice(r, b.show.Score)
	if err != nil {
		return nil, err
	}
	sc, faults := texts.read()
	if faults.Err() != nil {
		return nil, faults
	}
	list, err := b.before.Worse(ctx, sc)
	var out []draft.Objection
	for i := range list {
		f := &list[i]
		seconds := func(s float64) time.Duration { return time.Duration(s * float64(time.Second)) }
		out = append(out, draft.Objection{What: f.ID + " at " + f.Place, Text: f.Text, Cues: f.Cues, From: seconds(f.From), To: seconds(f.To)})
	}
	return out, err
}

// decisions are those of the spotting session, none without the file.
func (l *loaded) decisions() ([]draft.Decision, error) {
	data, err := l.folder.Optional(l.of.decisions)
	if err != nil || data == nil {
		return nil, err
	}
	list, faults := draft.ReadDecisions(l.of.decisions, data)
	return list, faults.Err()
}

// writeDraft writes the score, or with --look prints it; --explain takes the place of
// the text on standard output, as both at once would be neither.
func (l *loaded) writeDraft(c *cobra.Command, r *draft.Result, texts draftTexts, look, explain bool) error {
	if explain {
		if err := r.WriteExplanation(c.OutOrStdout()); err != nil {
			return err
		}
	}
	if look {
		var err error
		if !explain {
			_, err = verbatim(c.OutOrStdout()).Write(texts.shown())
		}
		return err
	}
	e := l.folder.Edit()
	texts.put(e)
	if err := e.Commit(); err != nil {
		return unlessChanged(err)
	}
	fmt.Fprintf(c.ErrOrStderr(), "drafted %s into %s; %s none (--explain says why)\n", si.Count(len(r.Cues), "cue", "cues"), filepath.Join(l.folder.Dir(), l.of.cues), si.Count(len(r.Left), "strong moment has", "strong moments have"))
	if r.Gentler > 0 || r.Dropped > 0 {
		fmt.Fprintf(c.ErrOrStderr(), "so that the show checks no worse, %s made gentler, and %s left out\n", si.Count(r.Gentler, "cue was", "cues were"), si.Count(r.Dropped, "cue was", "cues were"))
	}
	return nil
}

const spottingHelp = `List the moments to go through with the director: the strongest hits, and all
turns, swells, hushes and voices, with time, bar and beat, strength, loudness
before and after, and reason. What is decided is kept in spotting.yaml, and the
draft obeys it.`

// spottingCmd takes decisions first and lists afterwards, so that what it prints is
// what was decided. Nothing is solved or checked: it needs the files and the sound
// alone.
func spottingCmd() *cobra.Command {
	var top int
	var csv bool
	var accept, reject, nudge []string
	c := &cobra.Command{
		Use:   "spotting DIR",
		Short: "list the moments to go through with the director, and decide on them",
		Long:  spottingHelp,
		Args:  dirArg,
		RunE: func(c *cobra.Command, args []string) error {
			items, err := decisionLines(accept, reject, nudge)
			if err != nil {
				return err
			}
			l, err := decided(c, args[0], items)
			if err != nil {
				return err
			}
			defer l.close()
			decisions, err := l.decisions()
			if err != nil {
				return err
			}
			track, err := l.listen(c.Context(), c.ErrOrStderr(), l.of.sound)
			if err != nil {
				return err
			}
			return printSpotting(c, track, decisions, top, csv)
		},
	}
	c.Flags().IntVar(&top, "top", 60, "how many hits to list")
	c.Flags().BoolVar(&csv, "csv", false, "print a table for spreadsheets")
	c.Flags().StringArrayVar(&accept, "accept", nil, `accept a moment, as "hit 0:31.2"`)
	c.Flags().StringArrayVar(&reject, "reject", nil, `reject a moment, as "turn 1:04"`)
	c.Flags().StringArrayVar(&nudge, "nudge", nil, `move a moment, as "hit 0:31.2 to 0:31.35"`)
	return pieceFlag(c)
}

// printSpotting prints for people, or a table.
func printSpotting(c *cobra.Command, t *soundtrack.Track, decisions []draft.Decision, top int, csv bool) error {
	list := draft.SpotList(t, decisions, top)
	if csv {
		return list.WriteCSV(c.OutOrStdout())
	}
	return list.WriteText(c.OutOrStdout())
}
