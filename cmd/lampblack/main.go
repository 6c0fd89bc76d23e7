// Lampblack turns a rig, a room and a soundtrack into a light show that is
// checked, in time, and runs.
package main

import (
	"context"
	"os"
	"os/signal"
	"syscall"
)

func main() { os.Exit(mainCode()) }

// mainCode is main for tests: it returns the exit status.
func mainCode() int {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	return report(os.Stderr, root().ExecuteContext(ctx))
}
