package main

import (
	"encoding/json"
	"errors"
	"fmt"
	"time"

	"github.com/spf13/cobra"

	"lampblack/play/hand"
	"lampblack/show"
)

const tonightHelp = `Print what a hand has set for a night beside the show: trims, units that are out,
what is held. A run keeps it in tonight.yaml as it happens, and takes it up again when
it is started in the same night; a night lasts from noon to noon.

While a show runs, its pages drop it or write it.`

type tonightFlags struct{ take, drop, write, json bool }

func tonightCmd() *cobra.Command {
	var f tonightFlags
	c := &cobra.Command{
		Use:   "tonight DIR",
		Short: "print what was set by hand for a night, drop it, or write it into the looks",
		Long:  tonightHelp,
		Args:  dirArg,
		RunE:  func(c *cobra.Command, args []string) error { return f.run(c, args[0]) },
	}
	c.Flags().BoolVar(&f.take, "take", false, "take over for tonight what was set for another night")
	c.Flags().BoolVar(&f.drop, "drop", false, "drop it")
	c.Flags().BoolVar(&f.write, "write", false, "write the trims into the looks, and drop them")
	c.Flags().BoolVar(&f.json, "json", false, "print it as JSON")
	c.MarkFlagsMutuallyExclusive("take", "drop", "write")
	return c
}

func (f *tonightFlags) run(c *cobra.Command, dir string) error {
	l, faults, err := read(c.Context(), c.ErrOrStderr(), dir)
	switch {
	case err != nil:
		return err
	case l == nil: // a packed show that is not opened
		return faults.Err()
	}
	l.close()
	dir = l.folder.Dir()
	s, night, ok, err := hand.Load(c.Context(), dir)
	if err != nil {
		return err
	}
	if !ok || s.Nothing() {
		fmt.Fprintln(c.ErrOrStderr(), "nothing is set by hand")
		return nil
	}
	switch {
	case f.drop:
		return f.put(c, dir, hand.State{}, night, "dropped: "+s.String())
	case f.take:
		return f.put(c, dir, s, hand.NightOf(time.Now()), "taken over for tonight: "+s.String())
	case f.write:
		return f.writeTrims(c, dir, s, night)
	case f.json:
		return json.NewEncoder(c.OutOrStdout()).Encode(struct {
			Night string      `json:"night"`
			Trims []hand.Trim `json:"trims,omitempty"`
			Outs  []hand.Out  `json:"outs,omitempty"`
			Held  []hand.Held `json:"held,omitempty"`
		}{night, s.Trims, s.Outs, s.Held})
	}
	for _, line := range s.Lines() {
		fmt.Fprintln(c.OutOrStdout(), line)
	}
	if night != hand.NightOf(time.Now()) {
		say(c.ErrOrStderr(), "note", "that is of the night of "+night+", and a run tonight does not take it up; --take lets it")
	}
	return nil
}

// put writes what is set for a night.
func (f *tonightFlags) put(c *cobra.Command, dir string, s hand.State, night, said string) error {
	if _, _, err := rewrite(c.Context(), dir, hand.TonightFile, func([]byte) ([]byte, error) { return hand.WriteTonight(s, night), nil }); err != nil {
		return err
	}
	fmt.Fprintln(c.ErrOrStderr(), said)
	return nil
}

// writeTrims writes the trims into the looks.
func (f *tonightFlags) writeTrims(c *cobra.Command, dir string, s hand.State, night string) error {
	if len(s.Trims) == 0 {
		return errors.New("there are no trims to write into the looks")
	}
	l, err := solve(c.Context(), c.ErrOrStderr(), dir, reading{})
	if err != nil {
		return err
	}
	defer l.close()
	sh, err := l.usable(c.ErrOrStderr())
	if err != nil {
		return err
	}
	if names := (hand.State{Trims: s.Trims}).Strangers(sh.Rig); len(names) > 0 {
		return errors.New(strangers(names) + "; the files stay as they are")
	}
	data, err := l.folder.ReadFile(show.ScoreFile)
	if err == nil {
		data, err = hand.WriteTrims(sh, show.ScoreFile, data, s.Trims)
	}
	if err != nil {
		return err
	}
	trims := hand.State{Trims: s.Trims}.String()
	s.Trims = nil
	e := l.folder.Edit()
	e.Put(show.ScoreFile, data)
	e.Put(hand.TonightFile, hand.WriteTonight(s, night))
	if err := e.Commit(); err != nil {
		return unlessChanged(err)
	}
	fmt.Fprintln(c.ErrOrStderr(), "written into the looks: "+trims)
	return nil
}
