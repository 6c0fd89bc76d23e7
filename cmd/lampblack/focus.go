package main

import (
	"context"
	"errors"

	"github.com/spf13/cobra"

	"lampblack/show"
)

const focusHelp = `Light the lamps by hand, with no show and no sound: the page Focus takes one lamp
after another, alone, found by a slow pulse, with where it is to point; the page By
hand sets units, systems, and what is touched in the picture, and writes them into
looks. With --phone a phone on the ladder does it.

What stops a show from running does not stop this: black light is held to what an eye
a metre before it may take, and no order makes a lamp flash.

Who is on a ladder is not alone in the room. Lamps overhead have a second fixing.`

func focusCmd() *cobra.Command {
	var at addresses
	var f runFlags
	c := &cobra.Command{
		Use:   "focus DIR",
		Short: "light the lamps by hand, for focusing and for looks, with no show",
		Long:  focusHelp,
		Args:  dirArg,
		RunE: kept(always, func(c *cobra.Command, args []string) error {
			l, err := solve(c.Context(), c.ErrOrStderr(), args[0], reading{})
			if err != nil {
				return err
			}
			s, err := l.usable(c.ErrOrStderr())
			if err != nil {
				return err
			}
			ctx, cancel := context.WithCancel(c.Context())
			defer cancel()
			b, failed, err := at.open(ctx, c, s, nil, l.folder.Dir(), true, f.besides(l.folder.Dir()))
			if err != nil {
				return err
			}
			b.idle = true
			b.rounds(l)
			f.idle, f.silent, f.from, f.address, f.texts = s.Idle(), true, "0:00", b.address, l.texts
			err = runShow(c, l.folder.Dir(), f.idle.Show, f, b)
			cancel()
			return errors.Join(err, <-failed)
		}),
	}
	at.flags(c)
	f.outputsFlag(c)
	return c
}

// stageOf is the place that a run goes on with when its files were read anew.
func (f *runFlags) stageOf(l *loaded) *show.Place {
	if f.idle != nil {
		return l.show.Idle()
	}
	return l.stage()
}
