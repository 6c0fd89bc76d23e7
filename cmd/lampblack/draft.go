package main

import (
	"fmt"
	"path/filepath"

	"github.com/spf13/cobra"

	"lampblack/score/draft"
	"lampblack/show"
	"lampblack/soundtrack"
	"lampblack/source"
)

const draftHelp = `Propose cues for the whole soundtrack: on its hits, turns, swells and hushes,
each with a reason, chosen together by exact optimisation. Nothing bumps in the
score's calm spans and little under a voice that is heard, and no flash, density
or distance limit is passed.

draft.yaml in the show's folder, if it is there, says what the director wants:
cues per minute, and for each section a mood (still, calm, lively, fierce), a
look, or colours; spotting.yaml what was accepted and rejected of the moments.

Cues that a person wrote or accepted are never touched; those of an earlier
draft are replaced. Accept a drafted cue by changing its "by: draft" into
"by: accepted".`

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
			r, err := l.draft(c, s, seed)
			if err != nil {
				return err
			}
			return l.writeDraft(c, s, r, look, explain)
		},
	}
	c.Flags().BoolVar(&look, "look", false, "print the score as it would become, and write nothing")
	c.Flags().BoolVar(&explain, "explain", false, "print why each cue is there, and why strong moments were left out")
	c.Flags().IntVar(&seed, "seed", 0, "another number turns the colours of looks that the draft makes")
	return c
}

func (l *loaded) draft(c *cobra.Command, s *show.Show, seed int) (*draft.Result, error) {
	wish := &draft.Wish{}
	if data, err := l.folder.Optional(draft.WishFile); err != nil {
		return nil, err
	} else if data != nil {
		var faults source.Faults
		if wish, faults = draft.ReadWish(draft.WishFile, data); faults.Err() != nil {
			return nil, faults
		}
	}
	if seed != 0 {
		wish.Seed = seed
	}
	decisions, err := l.decisions()
	if err != nil {
		return nil, err
	}
	o := draft.Options{Wish: wish, Decisions: decisions, Systems: colourSystems(s), Brightness: brightness(s)}
	r, faults, err := draft.Draft(c.Context(), s.Track, s.Score, o)
	if err == nil {
		err = faults.Err()
	}
	return r, err
}

func (l *loaded) decisions() ([]draft.Decision, error) {
	data, err := l.folder.Optional(draft.DecisionsFile)
	if err != nil || data == nil {
		return nil, err
	}
	list, faults := draft.ReadDecisions(draft.DecisionsFile, data)
	return list, faults.Err()
}

// colourSystems lists the systems whose units have something to see by.
func colourSystems(s *show.Show) []string {
	var out []string
	for _, name := range s.Rig.Systems() {
		visible := false
		for _, u := range s.Rig.System(name) {
			from, to := s.Rig.UnitDrives(u)
			for d := from; d < to; d++ {
				visible = visible || !s.Rig.Emitter(d).Light.BlackLight()
			}
		}
		if visible {
			out = append(out, name)
		}
	}
	return out
}

// brightness measures every look in the room: the mean luminance of all that
// is seen, as a share of the brightest look's.
func brightness(s *show.Show) map[string]float64 {
	sum, top := make([]float64, len(s.Looks)), 0.0
	for i := range s.Looks {
		for p, place := range s.Transport.Places {
			if place.Area > 0 {
				sum[i] += place.Area * s.Transport.Luminance(p, s.Looks[i].Levels).Y
			}
		}
		top = max(top, sum[i])
	}
	out := map[string]float64{}
	for i := range s.Looks {
		if top > 0 {
			out[s.Looks[i].Name] = sum[i] / top
		}
	}
	return out
}

func (l *loaded) writeDraft(c *cobra.Command, s *show.Show, r *draft.Result, look, explain bool) error {
	data, err := l.folder.ReadFile(show.ScoreFile)
	if err != nil {
		return err
	}
	text, err := r.Splice(show.ScoreFile, data, s.Score)
	if err != nil {
		return err
	}
	if explain {
		if err := r.WriteExplanation(c.OutOrStdout()); err != nil {
			return err
		}
	}
	if look {
		if !explain {
			_, err = verbatim(c.OutOrStdout()).Write(text)
		}
		return err
	}
	e := l.folder.Edit()
	e.Put(show.ScoreFile, text)
	if err := e.Commit(); err != nil {
		return unlessChanged(err)
	}
	fmt.Fprintf(c.ErrOrStderr(), "drafted %d cues into %s; %d strong moments have none (--explain says why)\n", len(r.Cues), filepath.Join(l.folder.Dir(), show.ScoreFile), len(r.Left))
	return nil
}

const spottingHelp = `List the moments to go through with the director: the strongest hits, and all
turns, swells, hushes and voices, with time, bar and beat, strength, loudness
before and after, and reason. What is decided is kept in spotting.yaml, and the
draft obeys it.`

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
			track, err := l.listen(c.Context(), c.ErrOrStderr())
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
	return c
}

func printSpotting(c *cobra.Command, t *soundtrack.Track, decisions []draft.Decision, top int, csv bool) error {
	list := draft.SpotList(t, decisions, top)
	if csv {
		return list.WriteCSV(c.OutOrStdout())
	}
	return list.WriteText(c.OutOrStdout())
}
