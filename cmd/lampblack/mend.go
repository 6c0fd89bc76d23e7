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
		changes, err := mendOne(c.Context(), l)
		if err != nil {
			return err
		}
		if len(changes) == 0 {
			return afterMending(c, l)
		}
		e := l.folder.Edit()
		for _, ch := range changes {
			e.Put(ch.File, ch.After)
		}
		if err := e.Commit(); errors.Is(err, folder.ErrChanged) {
			continue // somebody else was faster: look at what they made of it
		} else if err != nil {
			return err
		}
		for _, ch := range changes {
			mend.WriteDiff(c.OutOrStdout(), ch)
		}
	}
}

// mendOne returns the changes that help the first finding that can be helped.
func mendOne(ctx context.Context, l *loaded) ([]mend.Change, error) {
	for _, f := range finding.Stops(l.findings) {
		changes, ok := mend.Find(ctx, l.folder, l.show, f)
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		if ok {
			return changes, nil
		}
	}
	return nil, nil
}

// afterMending says what is left when no change helps any more.
func afterMending(c *cobra.Command, l *loaded) error {
	stops := finding.Stops(l.findings)
	if len(stops) == 0 {
		fmt.Fprintln(c.ErrOrStderr(), "nothing that stops a run is left")
		return nil
	}
	writeFound(c.OutOrStdout(), stops)
	say(c.ErrOrStderr(), "hint", "no change of the files helps these: they are for hands to mend")
	return errStops
}
