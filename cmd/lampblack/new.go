package main

import (
	"errors"
	"fmt"

	"github.com/spf13/cobra"

	"lampblack/demo"
	"lampblack/folder"
	"lampblack/rig/described"
	"lampblack/si"
	"lampblack/source"
	"lampblack/wire/mvr"
)

const newHelp = `Write a small show into a new folder: two kinds of unit, three units, a
room, two looks, three cues and a short soundtrack, with comments that explain
every file. It checks clean; change it into your own.

With --small it writes the least that runs: a rig of five lamps of a built-in
type, and four looks that wait for go. What it does not say is guessed.

With --from it writes the lamps of a scene by DIN SPEC 15801 (.mvr): a rig with their
types, places, aims and addresses, and two looks; each doubt is told. All of it is
written, or nothing.`

// newCmd writes into a folder that is not there yet, or is empty: package demo refuses
// to write over anything.
func newCmd() *cobra.Command {
	var title, from string
	var small bool
	c := &cobra.Command{
		Use:   "new DIR",
		Short: "write a small show to build on",
		Long:  newHelp,
		Args:  dirArg,
		RunE: func(c *cobra.Command, args []string) error {
			var err error
			switch {
			case from != "" && (small || title != ""):
				return errors.New("--from goes with neither --small nor --title")
			case from != "":
				err = newFrom(c, args[0], from)
			case small && title != "":
				return errors.New("--small writes no show.yaml, which has the title")
			case small:
				err = demo.NewSmall(c.Context(), args[0])
			default:
				err = demo.New(c.Context(), args[0], title)
			}
			if err != nil {
				return err
			}
			fmt.Fprintf(c.ErrOrStderr(), "wrote a show into %s; next: lampblack check %s\n", args[0], args[0])
			return nil
		},
	}
	c.Flags().StringVar(&title, "title", "", "what the show is called (the folder's name if absent)")
	c.Flags().BoolVar(&small, "small", false, "write the least that runs: a rig and looks, all else guessed")
	c.Flags().StringVar(&from, "from", "", "write the lamps of this scene (.mvr)")
	return c
}

// mostScene bounds a scene file: those of houses with models of everything have hundreds of megabytes, of
// which only the descriptions are unpacked.
const mostScene = 512 << 20

// newFrom makes the texts of a scene before anything is written.
func newFrom(c *cobra.Command, dir, file string) error {
	data, err := folder.ReadFile(c.Context(), file, mostScene)
	if err != nil {
		return err
	}
	scene, err := mvr.Parse(data)
	if err != nil {
		return err
	}
	made, err := described.Units(scene)
	if err != nil {
		return err
	}
	if err := demo.NewOf(c.Context(), dir, made.Texts); err != nil {
		return err
	}
	out := c.OutOrStdout()
	fmt.Fprintf(out, "%s, of %s\n", si.Count(made.Units, "lamp", "lamps"), si.Count(len(made.Texts)-1, "described type", "described types"))
	if len(made.Notes) > 0 {
		fmt.Fprintln(out, "\nDoubts")
	}
	for _, n := range made.Notes {
		fmt.Fprintf(out, "  %s\n", source.Visible(n))
	}
	return nil
}
