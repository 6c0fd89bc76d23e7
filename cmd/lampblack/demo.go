package main

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"lampblack/demo"
	"lampblack/source"
)

const demoHelp = `Write an example show into DIR, listen to its sound, check it, serve its book and
run it. Its outputs go to this computer alone. --of says which:

  fish      "The Lantern Fish", a black-light puppet play in a village hall
            (into lantern-fish if DIR is absent)
  evening   "Three Pieces by the Sea": preshow, a piece that waits for a passenger
            in its sound, one without sound that waits for the players, interval, a
            third piece, bows; enter is go (into three-pieces)
  walk      "The Way Down": a corridor and two caves that open by a calendar and
            start by buttons on the Night page and by OSC (into way-down); it is
            closed at night, as calendar.yaml has it; "lampblack rehearse way-down
            --visitors 40/h" sends people through it
  dance     "The Harbour Dance", a minute whose light moves by itself, with the beat,
            from lamp to lamp, as candles and water do (into harbour-dance)

Stop it with q or ctrl-c. The show stays in DIR.`

// demoCmd is new, check and open with a run in one, for somebody who has just come; it
// takes the flags of a run.
func demoCmd() *cobra.Command {
	var of string
	var at addresses
	var written bool
	var f runFlags
	c := &cobra.Command{
		Use:   "demo [DIR]",
		Short: "write an example show, check it, run it, open its book",
		Long:  demoHelp,
		Args:  cobra.MaximumNArgs(1),
		RunE: kept(func() bool { return !written }, func(c *cobra.Command, args []string) error {
			d, err := demoOf(of)
			if err != nil {
				return err
			}
			dir := d.Dir
			if len(args) == 1 {
				dir = args[0]
			}
			if err := writeDemo(c, d, dir); err != nil || written {
				return err
			}
			return openBook(c, dir, at, true, f)
		}),
	}
	at.flags(c)
	c.Flags().StringVar(&of, "of", demo.Fish.Name, "which example: "+strings.Join(demoNames(), ", "))
	c.Flags().BoolVar(&written, "write", false, "write the show and stop there")
	f.flags(c)
	return pieceFlag(c)
}

// demoNames are the words that --of takes.
func demoNames() []string {
	var out []string
	for _, d := range demo.Demos() {
		out = append(out, d.Name)
	}
	return out
}

// demoOf is the demo of a name.
func demoOf(name string) (demo.Demo, error) {
	for _, d := range demo.Demos() {
		if d.Name == name {
			return d, nil
		}
	}
	return demo.Demo{}, hinted{fmt.Errorf("there is no example %q", name), source.OneOf(name, demoNames())}
}

// writeDemo writes an example show, unless it is there already: then it is
// taken as it is, so that changes to it stay.
func writeDemo(c *cobra.Command, d demo.Demo, dir string) error {
	if _, err := os.Stat(filepath.Join(dir, "show.yaml")); err == nil {
		fmt.Fprintf(c.ErrOrStderr(), "taking the show in %s as it is\n", dir)
		return nil
	} else if !errors.Is(err, os.ErrNotExist) {
		return fmt.Errorf("write an example show: %w", err)
	}
	bar := newProgress(c.ErrOrStderr(), "making the sound")
	err := d.Write(c.Context(), dir, bar.set)
	bar.done()
	if err == nil {
		fmt.Fprintf(c.ErrOrStderr(), "wrote the example show into %s\n", dir)
	}
	return err
}
