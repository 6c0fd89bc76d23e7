package main

import (
	"errors"
	"fmt"

	"github.com/spf13/cobra"

	"lampblack/demo"
)

const newHelp = `Write a small show into a new folder: two kinds of unit, three units, a
room, two looks, three cues and a short soundtrack, with comments that explain
every file. It checks clean; change it into your own.

With --small it writes the least that runs: a rig of five lamps of a built-in
type, and four looks that wait for go. What it does not say is guessed.`

// newCmd writes into a folder that is not there yet, or is empty: package demo refuses
// to write over anything.
func newCmd() *cobra.Command {
	var title string
	var small bool
	c := &cobra.Command{
		Use:   "new DIR",
		Short: "write a small show to build on",
		Long:  newHelp,
		Args:  dirArg,
		RunE: func(c *cobra.Command, args []string) error {
			var err error
			switch {
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
	return c
}
