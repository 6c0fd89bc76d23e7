package main

import (
	"slices"

	"github.com/spf13/cobra"

	"lampblack/ledger"
)

// noted has a command's edits in the ledger of the folder that it works on, under its own name,
// where a page has begun one: what was written before it by another program is that program's. A
// ledger that cannot be written keeps no command from its work; who opens the book is told.
func noted(root *cobra.Command) {
	root.PersistentPreRun = func(c *cobra.Command, args []string) { note(c, args, ledger.Outside) }
	root.PersistentPostRun = func(c *cobra.Command, args []string) { note(c, args, "lampblack "+c.Name()) }
}

// byThemselves are commands that write into the ledger as they go.
var byThemselves = []string{"open", "run", "focus", "edits"}

func note(c *cobra.Command, args []string, who string) {
	if len(args) == 0 || slices.Contains(byThemselves, c.Name()) || !ledger.Has(c.Context(), args[0]) {
		return
	}
	_, _ = ledger.Note(c.Context(), args[0], who, "")
}
