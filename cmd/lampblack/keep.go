package main

import (
	"fmt"
	"time"

	"github.com/spf13/cobra"

	"lampblack/play"
	"lampblack/play/keeper"
)

// A run is two processes where the system allows it: the keeper, which is the one that was
// started, owns the outputs, and its child runs the show (package keeper).
var (
	separate bool          // this is a process of its own, which may have a keeper
	toKeeper *keeper.Wire  // nil for a process that has none
	again    *keeper.Again // what became of the run before this, which died; nil for the first
	tries    int           // how often a run is started again; 0 is the keeper's own
)

// ahead is how long before it is due a frame is handed to the keeper: some wakes of a busy
// machine. It is also how much later a hand is seen than it could be.
const ahead = 10 * time.Millisecond

// kept lets a command that runs a show have a keeper, if runs says that this time it runs one.
func kept(runs func() bool, run func(*cobra.Command, []string) error) func(*cobra.Command, []string) error {
	return func(c *cobra.Command, args []string) error {
		if toKeeper != nil || !separate || !runs() {
			return run(c, args)
		}
		return keep(c, args, run)
	}
}

func always() bool { return true }

// openKept has the keeper open the outputs.
func openKept(tell func(what, text string), o *play.Options, asked keeper.Opening) error {
	granted, hint, err := toKeeper.Open(asked)
	if err != nil {
		return err
	}
	keeper.Raise(false) // the keeper says what is granted, which goes for both
	o.Wire, o.Sinks, o.Ahead = toKeeper, toKeeper.Sinks(), ahead
	if again == nil && hint != "" && len(o.Sinks) > 0 {
		tell("note", "frames are sent at "+granted+": on a busy computer some may be late; "+hint)
	}
	return nil
}

// errRun carries the exit status of a run that was kept, and has told why.
type errRun int

func (e errRun) Error() string { return fmt.Sprintf("the run ended with status %d", int(e)) }
