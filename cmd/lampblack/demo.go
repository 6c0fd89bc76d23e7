package main

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"

	"github.com/spf13/cobra"

	"lampblack/demo"
)

const demoHelp = `Write the example show "The Lantern Fish", a black-light puppet play in a
village hall, into DIR (lantern-fish if absent); listen to its soundtrack, check
it, serve its book and run it. Its outputs go to this computer alone.

Stop it with q or ctrl-c. The show stays in DIR.`

// demoCmd is new, check and open with a run in one, for somebody who has just come; it
// takes the flags of a run.
func demoCmd() *cobra.Command {
	var address string
	var written bool
	var f runFlags
	c := &cobra.Command{
		Use:   "demo [DIR]",
		Short: "write the example show, check it, run it, open its book",
		Long:  demoHelp,
		Args:  cobra.MaximumNArgs(1),
		RunE: func(c *cobra.Command, args []string) error {
			dir := "lantern-fish"
			if len(args) == 1 {
				dir = args[0]
			}
			if err := writeDemo(c, dir); err != nil || written {
				return err
			}
			return openBook(c, dir, address, true, f)
		},
	}
	c.Flags().StringVar(&address, "address", "127.0.0.1:8512", "where to serve the book; port 0 takes a free one")
	c.Flags().BoolVar(&written, "write", false, "write the show and stop there")
	f.flags(c)
	return c
}

// writeDemo writes the example show, unless it is there already: then it is
// taken as it is, so that changes to it stay.
func writeDemo(c *cobra.Command, dir string) error {
	if _, err := os.Stat(filepath.Join(dir, "show.yaml")); err == nil {
		fmt.Fprintf(c.ErrOrStderr(), "taking the show in %s as it is\n", dir)
		return nil
	} else if !errors.Is(err, os.ErrNotExist) {
		return fmt.Errorf("write the example show: %w", err)
	}
	bar := newProgress(c.ErrOrStderr(), "making the soundtrack")
	err := demo.Write(c.Context(), dir, bar.set)
	bar.done()
	if err == nil {
		fmt.Fprintf(c.ErrOrStderr(), "wrote the example show into %s\n", dir)
	}
	return err
}
