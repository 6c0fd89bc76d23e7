// Lampblack turns a rig, a room and a soundtrack into a light show that is
// checked, in time, and runs.
//
// It is wiring: each subcommand is one file, which parses what it is asked for,
// calls the packages that know, prints, and returns. Most begin with load
// (read the folder, listen, solve, check) or with readWell, for those that
// need the texts alone:
//
//	DIR ─▶ read ─▶ listen ─▶ solve ─▶ check ─▶ findings ─▶ exit status 1, when one stops a run
//	                                  │
//	                                  └─▶ run, open, export, desk, paper, picture, draft …
//
// Results go to standard output, words for a person to standard error, both by
// way of a screen, so that no name from a file reaches a terminal raw. Errors
// are returned up to report, which alone prints them and picks the exit status.
// Whatever a command is doing may be cut off (stopper): files are written whole
// or not at all, by package folder.
package main

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
)

func main() { os.Exit(mainCode()) }

// mainCode is main for tests: it returns the exit status.
//
// A command that was stopped says so and fails, whatever error that made of it. An
// output that could not be written (a full disk, a pipe that was closed) fails a
// command that thought it had done its work; what had failed anyway keeps its own
// reason.
func mainCode() int {
	ctx := stop.context()
	separate = true
	takeLine()
	out, words := &screen{file: os.Stdout}, &screen{file: os.Stderr}
	c := root()
	c.SetOut(out)
	c.SetErr(words)
	err := c.ExecuteContext(ctx)
	out.flush()
	var run errRun
	if errors.As(err, &run) {
		return int(run)
	}
	if err != nil && ctx.Err() != nil {
		say(words, "note", "stopped before it was done")
		return exitFailed
	}
	status := report(words, err)
	if out.failed != nil && (err == nil || errors.Is(err, errStops)) {
		why := out.failed
		var path *fs.PathError
		if errors.As(why, &path) {
			why = path.Err
		}
		status = report(words, fmt.Errorf("write to standard output: %w", why))
	}
	return status
}
