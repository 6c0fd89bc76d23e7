// Lampblack turns a rig, a room and a soundtrack into a light show that is
// checked, in time, and runs.
package main

import (
	"os"
)

func main() { os.Exit(mainCode()) }

// mainCode is main for tests: it returns the exit status.
func mainCode() int {
	ctx := stop.context()
	err := root().ExecuteContext(ctx)
	if err != nil && ctx.Err() != nil {
		say(os.Stderr, "note", "stopped before it was done")
		return exitFailed
	}
	return report(os.Stderr, err)
}
