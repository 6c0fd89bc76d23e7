package main

import (
	"fmt"
	"io"
	"time"

	"github.com/spf13/cobra"

	"lampblack/ledger"
	"lampblack/source"
)

const editsHelp = `List the newest edits of a show's texts, whoever made them, and take them back.

Edits are kept, beside the texts, from the first time that the book of a show is opened:
those of its pages, of commands, of a hand in a run, and what a text editor wrote, which is
one edit each time that the program looks. They are taken back one after another, the
newest first, without limit; what was taken back can be done again until something else is
written. Comments and order come back too: texts are what they were, byte by byte.

  lampblack edits DIR
  lampblack edits DIR --undo
  lampblack edits DIR --redo`

// editFlags are those of edits.
type editFlags struct {
	undo, redo, asJSON bool
	most               int
}

func editsCmd() *cobra.Command {
	var f editFlags
	c := &cobra.Command{
		Use:   "edits DIR",
		Short: "list the edits of a show's texts, and take them back",
		Long:  editsHelp,
		Args:  dirArg,
		RunE:  func(c *cobra.Command, args []string) error { return f.run(c, args[0]) },
	}
	c.Flags().BoolVar(&f.undo, "undo", false, "take the newest back that stands")
	c.Flags().BoolVar(&f.redo, "redo", false, "do again what was taken back last")
	c.Flags().IntVar(&f.most, "most", 20, "how many to list")
	c.Flags().BoolVar(&f.asJSON, "json", false, "print the list as JSON")
	c.MarkFlagsMutuallyExclusive("undo", "redo")
	return c
}

func (f *editFlags) run(c *cobra.Command, dir string) error {
	const who = "the command line"
	words := c.ErrOrStderr()
	switch {
	case f.undo:
		e, err := ledger.Undo(c.Context(), dir, who)
		if err != nil {
			return err
		}
		say(words, "note", "taken back: "+source.Visible(e.What))
	case f.redo:
		e, err := ledger.Redo(c.Context(), dir, who)
		if err != nil {
			return err
		}
		say(words, "note", "done again: "+source.Visible(e.What))
	}
	log, err := ledger.Read(c.Context(), dir, f.most)
	if err != nil {
		return err
	}
	if log.Broken != "" {
		say(words, "warning", "earlier edits cannot be taken back any more: "+log.Broken)
	}
	if f.asJSON {
		return writeJSON(c.OutOrStdout(), editsOut(log))
	}
	writeEdits(c.OutOrStdout(), log)
	return nil
}

// writeEdits prints a line for each edit: what undo takes back next is marked.
func writeEdits(w io.Writer, log ledger.Log) {
	if len(log.Entries) == 0 {
		fmt.Fprintln(w, "No edit is kept yet: they are from the first time that `lampblack open` serves the book.")
		return
	}
	for _, e := range log.Entries {
		mark, what := " ", e.What
		switch {
		case log.Undo != nil && e.Number == log.Undo.Number:
			mark = ">"
		case e.Back > 0:
			what = fmt.Sprintf("took back %d: %s", e.Back, what)
		case e.Again > 0:
			what = fmt.Sprintf("did %d again: %s", e.Again, what)
		}
		fmt.Fprintf(w, "%s %5d  %s  %s: %s\n", mark, e.Number, e.When.Local().Format("2006-01-02 15:04:05"), source.Visible(e.Who), source.Visible(what))
	}
}

type editOut struct {
	Number int       `json:"number"`
	When   time.Time `json:"when"`
	Who    string    `json:"who"`
	What   string    `json:"what"`
	Files  []string  `json:"files"`
	Back   int       `json:"takes_back,omitempty"`
	Again  int       `json:"does_again,omitempty"`
	Next   bool      `json:"undone_next,omitempty"`
}

func editsOut(log ledger.Log) []editOut {
	out := []editOut{}
	for i := range log.Entries {
		e := &log.Entries[i]
		out = append(out, editOut{e.Number, e.When, e.Who, e.What, e.Names(), e.Back, e.Again, log.Undo != nil && e.Number == log.Undo.Number})
	}
	return out
}
