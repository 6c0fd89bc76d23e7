package main

import (
	"context"
	"errors"
	"fmt"

	"github.com/spf13/cobra"

	"lampblack/check/finding"
	"lampblack/check/mend"
	"lampblack/folder"
	"lampblack/show"
)

// mendFolder changes the show's files until no finding that stops a run is left
// that a change of the files can help, the smallest change at a time. Every
// change is checked before it is written, and shown when it is on the disk.
//
// It ends: each round takes away one finding that stops a run and brings no new one.
// The show is loaded anew in each, as a change may move what others hang on.
func mendFolder(c *cobra.Command, dir string) error {
	for {
		l, err := load(c.Context(), c.ErrOrStderr(), dir)
		if err != nil {
			return err
		}
		defer l.close()
		if _, err := l.usable(c.ErrOrStderr()); err != nil {
			say(c.ErrOrStderr(), "hint", "faults in the text of a file are for hands to mend")
			return err
		}
		if l.files.Order.Implied() {
			return hinted{errors.New("--mend moves and changes cues, and this show has none"), "write cues into " + show.ScoreFile}
		}
		if l.evening != nil {
			return hinted{errors.New("--mend changes shows of one piece, and cannot change an evening yet"), "set " + show.OrderFile + " aside, mend, and bring it back"}
		}
		change, tooDear, err := mendOne(c.Context(), l)
		if err != nil {
			return err
		}
		if change == nil {
			return afterMending(c, l, tooDear)
		}
		e := l.folder.Edit()
		e.Put(change.File, change.After)
		if err := e.Commit(); errors.Is(err, folder.ErrChanged) {
			continue // somebody else was faster: look at what they made of it
		} else if err != nil {
			return err
		}
		mend.WriteDiff(c.OutOrStdout(), *change)
	}
}

// mendOne returns the change that helps the first finding that can be helped, or those that would and cost the
// show too much.
func mendOne(ctx context.Context, l *loaded) (change *mend.Change, tooDear []mend.Change, err error) {
	for _, f := range finding.Stops(l.findings) {
		found := mend.Find(ctx, l.folder, l.show, f)
		if err := ctx.Err(); err != nil {
			return nil, nil, err
		}
		if found.Change != nil {
			return found.Change, nil, nil
		}
		if found.TooDear != nil {
			tooDear = append(tooDear, *found.TooDear)
		}
	}
	return nil, tooDear, nil
}

// afterMending says what is left when no change helps any more.
func afterMending(c *cobra.Command, l *loaded, tooDear []mend.Change) error {
	stops := finding.Stops(l.findings)
	if len(stops) == 0 {
		fmt.Fprintln(c.ErrOrStderr(), "nothing that stops a run is left")
		return nil
	}
	writeFound(c.OutOrStdout(), stops)
	for _, ch := range tooDear {
		say(c.ErrOrStderr(), "note", fmt.Sprintf("not done, as it costs the show %s, which people decide: %s: %s", ch.Cost, ch.File, ch.What))
	}
	say(c.ErrOrStderr(), "hint", "no other change of the files helps these: they are for hands to mend")
	return errStops
}
