// Lampblack turns a rig, a room and a soundtrack into a light show that is
// checked, in time, and runs.
package main

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
)

func main() { os.Exit(mainCode()) }

// mainCode is main for tests: it returns the exit status.
func mainCode() int {
	ctx := stop.context()
	out, words := &screen{file: os.Stdout}, &screen{file: os.Stderr}
	c := root()
	c.SetOut(out)
	c.SetErr(words)
	err := c.ExecuteContext(ctx)
	out.flush()
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
