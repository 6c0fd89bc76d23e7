package main

import (
	"errors"
	"fmt"
	"io"

	"github.com/spf13/cobra"

	"lampblack/source"
)

// Exit statuses, a promise of the command line.
const (
	exitClean    = 0
	exitFindings = 1 // findings that stop a run
	exitFailed   = 2 // it could not be done
)

// errStops ends a command whose findings stop a run; they were printed.
var errStops = errors.New("findings that stop a run")

// hinted is an error with something to do about it.
type hinted struct {
	error
	hint string
}

func (h hinted) Unwrap() error { return h.error }

const rootHelp = `Lampblack turns a rig, a room and a soundtrack into a light show that is
checked, in time, and runs.

A show is a folder of plain text files and a soundtrack. On a terminal, ` + "`lampblack`" + ` alone
opens the page that a show begins with. Or start with

  lampblack demo          write an example show, check it, run it, open its book
  lampblack new DIR       write a small show of your own to build on

  lampblack pack DIR      put a whole show into one file, for another machine

Every command that takes a folder takes such a file as well.

Results go to standard output, words to standard error. Exit status: 0 clean,
1 there are findings that stop a run, 2 it could not be done, or was stopped.
Ctrl-c stops any command within a second; a second ctrl-c at once.

Lampblack computes and warns. Flashing light, ultraviolet, mains, darkness and
things overhead can hurt: local codes and licensed people decide.`

// root is the command with all its subcommands. Errors are printed by report alone, in
// one form; the help of a command is not printed at a wrong option, where nobody reads
// it.
func root() *cobra.Command {
	c := &cobra.Command{
		Use:           "lampblack",
		Short:         "light shows that are checked, in time, and run",
		Long:          rootHelp,
		SilenceErrors: true,
		SilenceUsage:  true,
		Args:          cobra.NoArgs,
		RunE:          func(c *cobra.Command, _ []string) error { return alone(c) },
	}
	c.CompletionOptions.HiddenDefaultCmd = false
	for _, add := range []func() *cobra.Command{
		beginCmd,
		newCmd,
		demoCmd,
		listenCmd,
		checkCmd,
		signCmd,
		runCmd,
		openCmd,
		focusCmd,
		tonightCmd,
		soundCmd,
		syncCmd,
		exportCmd,
		deskCmd,
		sheetCmd,
		measureCmd,
		pictureCmd,
		retimeCmd,
		draftCmd,
		spottingCmd,
		orderCmd,
		rehearseCmd,
		hoursCmd,
		triggersCmd,
		doorsCmd,
		positionsCmd,
		addressesCmd,
		cablesCmd,
		powerCmd,
		loadingCmd,
		swapCmd,
		changesCmd,
		editsCmd,
		restageCmd,
		lampsCmd,
		serviceCmd,
		reportCmd,
		packCmd,
		unpackCmd,
		verifyCmd,
		schemaCmd,
		materialsCmd,
		fixtureCmd,
		benchCmd,
		faultCmd,
		versionCmd,
	} {
		c.AddCommand(add())
	}
	c.AddCommand(extra()...)
	noted(c)
	c.SetFlagErrorFunc(func(c *cobra.Command, err error) error {
		return hinted{err, "`" + c.CommandPath() + " --help` lists the options"}
	})
	return c
}

// report prints an error as "lampblack: error: ..." and returns the exit status. Faults
// of a show's files are findings, so the status is 1; all else is 2. A hint is that of
// the outermost error that has one.
func report(w io.Writer, err error) int {
	if err == nil {
		return exitClean
	}
	if errors.Is(err, errStops) {
		return exitFindings
	}
	var faults source.Faults
	if errors.As(err, &faults) {
		for _, f := range faults {
			if !f.Mild {
				say(w, "error", f.Pos.String()+": "+f.Text)
				say(w, "hint", f.Hint)
			}
		}
		return exitFindings
	}
	say(w, "error", err.Error())
	var h hinted
	if errors.As(err, &h) {
		say(w, "hint", h.hint)
	}
	return exitFailed
}

// say prints a line of words, with the program's name and what kind of line it is; no
// text, no line.
func say(w io.Writer, what, text string) {
	if text != "" {
		fmt.Fprintf(w, "lampblack: %s: %s\n", what, text)
	}
}

// dirArg is the argument rule of commands on a show's folder.
func dirArg(c *cobra.Command, args []string) error {
	if len(args) != 1 {
		return hinted{fmt.Errorf("%s takes one folder, or one file of pack, not %d", c.CommandPath(), len(args)), "as in `" + c.CommandPath() + " my-show`"}
	}
	return nil
}
