package main

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"io"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"lampblack/evening"
	"lampblack/play/journal"
	"lampblack/play/lamps"
)

// give gives lamps what the rig says, after a yes for each.
func (f *lampsFlags) give(c *cobra.Command, l *loaded, a *asked, rows []lamps.Row) error {
	if f.device != "" && len(f.set) > 1 {
		return errors.New("--device names one lamp: set one unit at a time with it")
	}
	defer func() { keepReading(c, l, a, lamps.Compare(l.files.Rig, a.universes, a.devices)) }()
	for _, unit := range f.set {
		row, err := f.rowOf(a, rows, unit)
		if err != nil {
			return err
		}
		want, err := row.Wanted()
		if err != nil {
			return fmt.Errorf("%s: %w", unit, err)
		}
		if want == (lamps.Wanted{}) {
			fmt.Fprintf(c.OutOrStdout(), "%s: as rig.yaml says, nothing to set\n", unit)
			continue
		}
		said := change(unit, row.Device, want)
		fmt.Fprintln(c.OutOrStdout(), said)
		if err := f.agreed(c); err != nil {
			return err
		}
		caller := a.callerOf(row.Device)
		err = set(c.Context(), caller, row.Device, want)
		if now, failed := caller.Read(c.Context(), row.Device.UID); failed == nil {
			*row.Device = now
		}
		text := said
		if err != nil {
			text += ": failed: " + err.Error()
		}
		if noted := noteSet(c.Context(), l, text); noted != nil {
			say(c.ErrOrStderr(), "warning", fmt.Sprintf("this could not be written down: %v", noted))
		}
		if err != nil {
			return fmt.Errorf("%s: %w", unit, err)
		}
		fmt.Fprintf(c.OutOrStdout(), "%s: set, and read back\n", unit)
	}
	return nil
}

// change says what is to be set, before and after.
func change(unit string, d *lamps.Device, want lamps.Wanted) string {
	var parts []string
	if want.Mode.Number != 0 {
		parts = append(parts, fmt.Sprintf("mode %s with %d slots becomes %d (%s) with %d", d.ModeName(), d.Footprint, want.Mode.Number, want.Mode.Name, want.Mode.Footprint))
	}
	if want.Address != 0 {
		parts = append(parts, fmt.Sprintf("address %d becomes %d", d.Address, want.Address))
	}
	return fmt.Sprintf("%s (%s %v): %s", unit, d.Model, d.UID, strings.Join(parts, ", "))
}

// agreed asks for a yes, typed in whole on a terminal.
func (f *lampsFlags) agreed(c *cobra.Command) error {
	if f.yes {
		return nil
	}
	in, ok := typedBy(c)
	if !ok {
		return hinted{errors.New("nothing was set: nobody can be asked, as this is no terminal"), "--yes sets without asking"}
	}
	fmt.Fprint(c.OutOrStdout(), "A desk of the house that knows the old address does not find this lamp any more. Set it? yes or no: ")
	line, err := bufio.NewReader(io.LimitReader(in, 1<<10)).ReadString('\n')
	if err != nil || strings.ToLower(strings.TrimSpace(line)) != "yes" {
		return errors.New("nothing was set: the answer was not yes")
	}
	return nil
}

// set sets the mode first: a mode of more slots may not fit at the old address, and some lamps
// move when their mode changes.
func set(ctx context.Context, c *lamps.Caller, d *lamps.Device, want lamps.Wanted) error {
	if want.Mode.Number != 0 {
		if err := c.SetMode(ctx, d.UID, want.Mode.Number); err != nil {
			return err
		}
	}
	if want.Address != 0 {
		return c.SetAddress(ctx, d.UID, want.Address)
	}
	return nil
}

// noteSet writes down what was set, in the night's journal.
func noteSet(ctx context.Context, l *loaded, text string) error {
	name := nightFile(l.folder.Dir(), time.Now())
	if name == "" {
		return errors.New("no journal can be written")
	}
	j := journal.Open(journalFile(ctx, name))
	log := evening.NewLog(l.firstZone(), evening.State{}, j.Add)
	log.Append(evening.Event{Time: time.Now(), Kind: evening.LampSet, Text: nowAnd(text)})
	return j.Close()
}

// Times of showing a lamp.
const (
	blinkHalf = 2 * time.Second // on, and off: a quarter of a flash a second
	blinkMost = 30 * time.Second
	blinkEnd  = 10 * time.Second // for ending it, whatever happened
)

// show has a lamp show itself, slowly, and ends that for certain.
func (f *lampsFlags) show(c *cobra.Command, a *asked, rows []lamps.Row) (err error) {
	row, err := f.rowOf(a, rows, f.blink)
	if err != nil {
		return err
	}
	caller, d := a.callerOf(row.Device), row.Device
	ctx, cancel := context.WithTimeout(c.Context(), blinkMost)
	defer cancel()
	defer func() { err = errors.Join(err, dark(c.Context(), caller, d)) }()
	fmt.Fprintf(c.ErrOrStderr(), "%s (%s %v) shows itself for %v; enter ends it\n", f.blink, d.Model, d.UID, blinkMost)
	enter := linesOf(ctx, c.InOrStdin())
	for on := true; ; on = !on {
		if err := caller.Identify(ctx, d.UID, on); err != nil && ctx.Err() == nil {
			return err
		}
		select {
		case _, more := <-enter:
			if more {
				return nil
			}
			enter = nil // nobody is there to press it
		case <-ctx.Done():
			return c.Context().Err()
		case <-time.After(blinkHalf):
		}
	}
}

// dark ends showing, also when the program is told to end.
func dark(ctx context.Context, c *lamps.Caller, d *lamps.Device) error {
	ctx, cancel := context.WithTimeout(context.WithoutCancel(ctx), blinkEnd)
	defer cancel()
	var err error
	for range 3 {
		if err = c.Identify(ctx, d.UID, false); err == nil {
			return nil
		}
	}
	return hinted{fmt.Errorf("it may still show itself: %w", err), "switch it off and on"}
}
