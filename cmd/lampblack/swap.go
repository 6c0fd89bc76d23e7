package main

import (
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"lampblack/folder"
	"lampblack/rig"
	"lampblack/rig/address"
	"lampblack/rig/steps"
	"lampblack/room/measure"
	"lampblack/show"
	"lampblack/si"
	"lampblack/source"
)

const swapHelp = `Put another lamp in the place of a unit: it died, or another was sent. Lists what to
do on the spot, one thing a line: mode, addresses with their switches. As few units as
can be are set anew, the new lamp before others. TYPE is a file in fixtures/ or a
built-in type; --mode is the mode that it will be in, if it has several. Without TYPE
nothing comes in its place, and its likes take over what they can.

  lampblack swap DIR "par 3"
  lampblack swap DIR "par 3" "colour par"
  lampblack swap DIR "par 3" "colour par" --mode "7 slots" --write

Then it tells what each look loses: what it asks for in lux, glow, colour or darkness,
worked out anew with the other lamp, and what becomes lighter or darker beside that;
what the checks find that they did not before; and which papers change. With --write
rig.yaml is changed, all of it or nothing; "lampblack cables" and "lampblack power" plan
cables anew.

Pull the mains plug before a lamp is taken down; nobody stands below; second suspension
on again before anything else. A lamp that was on is hot.`

const changesHelp = `Tell what to do on the spot to make the rig of DIR that of OTHER: units that go, come
or move, modes, addresses with their switches, data and power, one thing a line, in the
order of the work. Either may be a file of pack.`

type swapFlags struct {
	mode          string
	write, asJSON bool
}

func swapCmd() *cobra.Command {
	var f swapFlags
	c := &cobra.Command{
		Use:   "swap DIR UNIT [TYPE]",
		Short: "put another lamp in the place of a unit: what to set anew, what the looks lose",
		Long:  swapHelp,
		Args:  cobra.RangeArgs(2, 3),
		RunE:  func(c *cobra.Command, args []string) error { return swapUnit(c, args, &f) },
	}
	c.Flags().StringVar(&f.mode, "mode", "", "the mode of the new lamp, where its type has several")
	c.Flags().BoolVar(&f.write, "write", false, "write it into rig.yaml")
	c.Flags().BoolVar(&f.asJSON, "json", false, "print it as JSON")
	return c
}

func changesCmd() *cobra.Command {
	asJSON := false
	c := &cobra.Command{
		Use:   "changes DIR OTHER",
		Short: "tell what to do on the spot to make one rig of another",
		Long:  changesHelp,
		Args:  cobra.ExactArgs(2),
		RunE: func(c *cobra.Command, args []string) error {
			before, err := rigOf(c, args[0])
			if err != nil {
				return err
			}
			defer before.close()
			after, err := rigOf(c, args[1])
			if err != nil {
				return err
			}
			defer after.close()
			return tellSteps(c.OutOrStdout(), steps.Between(before.files.Rig, after.files.Rig), asJSON)
		},
	}
	c.Flags().BoolVar(&asJSON, "json", false, "print the steps as JSON")
	return c
}

func swapUnit(c *cobra.Command, args []string, f *swapFlags) error {
	l, err := rigOf(c, args[0])
	if err != nil {
		return err
	}
	defer l.close()
	r := l.files.Rig
	unit := r.Index(args[1])
	if unit < 0 {
		return hinted{fmt.Errorf("the rig has no unit %q", args[1]), source.OneOf(args[1], r.UnitNames())}
	}
	if len(args) == 2 {
		return f.without(c, l, args[1])
	}
	var after *rig.Rig
	edit := func(data []byte) (out []byte, err error) {
		out, after, err = swapped(data, r, unit, args[2], f.mode)
		return out, err
	}
	data, err := l.folder.ReadFile(show.RigFile)
	if err != nil {
		return err
	}
	text, err := edit(data)
	if err != nil {
		return err
	}
	list := steps.Between(r, after)
	if err := f.tell(c, l, list, &folder.Laid{FS: l.folder, Texts: map[string][]byte{show.RigFile: text}}); err != nil {
		return err
	}
	if l.files.Readings != nil && slices.ContainsFunc(l.files.Readings.Readings, func(m measure.Reading) bool { return m.Unit.Name == args[1] }) {
		say(c.ErrOrStderr(), "note", show.ReadingsFile+" has readings of the lamp that goes: take them anew, or take them out")
	}
	if !f.write {
		return nil
	}
	return writeRig(c, l, "the swap", edit)
}

// without tells what the looks lose where a unit is out and nothing comes in its place.
func (f *swapFlags) without(c *cobra.Command, l *loaded, unit string) error {
	if f.write || f.mode != "" {
		return hinted{errors.New("which lamp comes in its place is not said"), "name its type; a unit that is out for a night is set so by hand, on the pages of the run"}
	}
	return f.tell(c, l, nil, &folder.Laid{FS: l.folder}, unit)
}

// tell prints what is to be done, then what becomes of the show. Where the files have faults, the steps
// are right all the same.
func (f *swapFlags) tell(c *cobra.Command, l *loaded, list []steps.Step, laid *folder.Laid, out ...string) error {
	w := c.OutOrStdout()
	if !f.asJSON && out == nil {
		if err := tellSteps(w, list, false); err != nil {
			return err
		}
		fmt.Fprintln(w)
	}
	b, err := f.becomes(c, l, laid, out)
	if err != nil {
		return err
	}
	if f.asJSON {
		o := b.out(stepsOut(list))
		o.Faults = b.after.faulty()
		return writeJSON(w, o)
	}
	if b.after.show == nil {
		say(c.ErrOrStderr(), "note", "what the looks make of it cannot be told, as the files have faults: "+firstStop(b.after.findings))
		say(c.ErrOrStderr(), "hint", "`lampblack check` names them all")
		return nil
	}
	tellLooks(w, b.looks)
	b.tellWorse(w)
	b.tellPapers(w)
	return nil
}

// becomes works out the show as it is and as it will be. Where either has faults, nothing is compared.
func (f *swapFlags) becomes(c *cobra.Command, l *loaded, laid *folder.Laid, out []string) (*became, error) {
	ctx, words := c.Context(), c.ErrOrStderr()
	wait := newWait(words, "working out what the looks make of it")
	defer wait.done()
	before, err := l.variant(ctx, words, &folder.Laid{FS: l.folder})
	if err != nil {
		return nil, err
	}
	if before.show == nil {
		return &became{before: before, after: before}, nil
	}
	after, err := l.variant(ctx, words, laid, out...)
	if err != nil || after.show == nil {
		return &became{before: before, after: after}, err
	}
	return held(c, before, after)
}

// swapped is the text of a rig with another lamp in the place of a unit, and the rig that it is.
func swapped(data []byte, r *rig.Rig, unit int, kind, mode string) ([]byte, *rig.Rig, error) {
	t, faults := source.OpenText(show.RigFile, data)
	if t == nil {
		return nil, nil, faults.Err()
	}
	err := t.SetKey("type", source.Quote(kind), "units", unit)
	if err == nil && mode != "" {
		err = t.SetKey("mode", source.Quote(mode), "units", unit)
	} else if err == nil && slices.Contains(t.Keys("units", unit), "mode") {
		err = t.RemoveKeys([]string{"mode"}, "units", unit)
	}
	if err != nil {
		return nil, nil, err
	}
	if data, err = t.Bytes(); err != nil {
		return nil, nil, err
	}
	after, faults := rig.Read(show.RigFile, data, r.Types)
	u := &after.Units[unit]
	if u.Type == nil || u.Mode == nil || mode == "" && u.Guessed(rig.GuessedMode) {
		return nil, nil, noSuchLamp(u, kind, faults)
	}
	places, err := address.Plan(after, address.Options{Style: address.Least, Rather: []int{unit}})
	if err != nil {
		return nil, nil, err
	}
	places = slices.DeleteFunc(places, func(p address.Place) bool { return !p.Moved })
	if data, err = addressed(data, places); err != nil {
		return nil, nil, err
	}
	after, _ = rig.Read(show.RigFile, data, r.Types)
	return data, after, nil
}

// noSuchLamp says what is not known of the new lamp.
func noSuchLamp(u *rig.Unit, kind string, faults source.Faults) error {
	if u.Type != nil {
		return hinted{fmt.Errorf("fixture type %s has several modes: say which the lamp is in", source.Visible(kind)), "--mode " + strings.Join(inQuotes(source.Names(u.Type.Modes)), " or ")}
	}
	for _, f := range faults {
		if f.Pos == u.TypeName.Pos {
			return hinted{errors.New(f.Text), f.Hint}
		}
	}
	return fmt.Errorf("there is no fixture type %q", kind)
}

func inQuotes(names []string) (out []string) {
	for _, n := range names {
		out = append(out, fmt.Sprintf("%q", n))
	}
	return out
}

type stepOut struct {
	Kind steps.Kind `json:"kind"`
	Unit string     `json:"unit"`
	Do   string     `json:"do"`
}

func stepsOut(list []steps.Step) []stepOut {
	out := []stepOut{}
	for _, s := range list {
		out = append(out, stepOut{s.Kind, s.Unit, s.Say})
	}
	return out
}

// tellSteps prints steps with a box to tick for each.
func tellSteps(w io.Writer, list []steps.Step, asJSON bool) error {
	if asJSON {
		return writeJSON(w, stepsOut(list))
	}
	for _, s := range list {
		fmt.Fprintf(w, "□ %s\n", source.Visible(s.Say))
	}
	if len(list) == 0 {
		fmt.Fprintln(w, "nothing changes on the spot")
		return nil
	}
	fmt.Fprintf(w, "\n%s. Of switches 1 is on, the first is 1; a few lamps count from 0 and want one less.\n", si.Count(len(list), "thing to do", "things to do"))
	return nil
}
