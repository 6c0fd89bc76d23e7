package main

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"lampblack/folder"
	"lampblack/play/beacon"
	"lampblack/play/lamps"
	"lampblack/play/line"
	"lampblack/play/output"
	"lampblack/rig"
	"lampblack/source"
	"lampblack/wire/artnet"
	"lampblack/wire/rdm"
)

const lampsHelp = `Ask the lamps what they say of themselves, and hold that against rig.yaml: address,
mode, number of slots, temperature, hours, what is wrong. They are asked by RDM (ANSI
E1.20), which many lamps, Art-Net nodes and USB interfaces have, and others not. A
splitter on the way must let answers through.

Outputs that can ask are artnet (the node looks for the lamps and gives its table) and
widget (each lamp is searched for, in up to a minute). E1.31 carries levels alone.

The lamps get no frames from here meanwhile, and may hold, go dark or begin a program of
their own: ask before people are in. It is refused while a run sends to the same place,
and no run ever does it.

  --set UNIT    gives that lamp the address and mode that rig.yaml says, after a yes
                typed in whole on the terminal, and reads them back. --device says
                which lamp it is where none stands for the unit yet. What a desk of
                the house finds at the old address, it finds no more
  --blink UNIT  has that lamp show itself, on and off every two seconds, for half a
                minute or until enter. How it does so is its maker's: some flash fast.
                Nobody who may not see that is in the room

What they said is kept in nights/lamps.json, so that hours since last time can be told.
Hours are what a lamp says; a new lamp in an old housing may be counted on from the old.

Exit status: 0 as rig.yaml says, or --json; 1 something differs.`

// lampsFlags are the options of lamps.
type lampsFlags struct {
	outputs []string
	set     []string
	device  string
	blink   string
	yes     bool
	json    bool
}

func lampsCmd() *cobra.Command {
	var f lampsFlags
	c := &cobra.Command{
		Use:   "lamps DIR",
		Short: "ask lamps for address, mode, temperature and hours, and compare with the rig",
		Long:  lampsHelp,
		Args:  dirArg,
		RunE: func(c *cobra.Command, args []string) error {
			l, faults, err := read(c.Context(), c.ErrOrStderr(), args[0])
			if err == nil && faults.Err() != nil {
				err = faults
			}
			if err != nil {
				return err
			}
			defer l.close()
			return f.ask(c, l)
		},
	}
	c.Flags().StringArrayVar(&f.outputs, "outputs", nil, "ask by these instead of the show's, as run writes them")
	c.Flags().StringArrayVar(&f.set, "set", nil, "give this unit's lamp the address and mode of rig.yaml")
	c.Flags().StringVar(&f.device, "device", "", "the lamp that --set and --blink mean, by its identifier, as 7a70:00000001")
	c.Flags().StringVar(&f.blink, "blink", "", "have this unit's lamp show itself for half a minute")
	c.Flags().BoolVar(&f.yes, "yes", false, "set without asking, where no terminal is")
	c.Flags().BoolVar(&f.json, "json", false, "print what was said as JSON")
	c.MarkFlagsMutuallyExclusive("set", "blink")
	return c
}

// asked is what came of asking.
type asked struct {
	lines     []lamps.Line
	universes []int
	devices   []lamps.Device
	close     []func() error
}

func (a *asked) end() error {
	var all []error
	for _, end := range a.close {
		all = append(all, end())
	}
	return errors.Join(all...)
}

// ask finds the lamps, tells what they say, and does what else was asked for.
func (f *lampsFlags) ask(c *cobra.Command, l *loaded) (err error) {
	if l.files.Rig == nil || len(l.files.Rig.Units) == 0 {
		return hinted{errors.New("there is no rig to hold lamps against"), "write the units into rig.yaml"}
	}
	for _, name := range append(slices.Clone(f.set), f.blink) {
		if name != "" && l.files.Rig.Index(name) < 0 {
			return hinted{fmt.Errorf("the rig has no unit %q", name), source.Suggest(name, l.files.Rig.UnitNames())}
		}
	}
	var a asked
	defer func() { err = errors.Join(err, a.end()) }()
	if err := f.open(c, l, &a); err != nil {
		return err
	}
	failed := f.read(c, &a)
	if c.Context().Err() != nil {
		return c.Context().Err()
	}
	rows := lamps.Compare(l.files.Rig, a.universes, a.devices)
	switch {
	case f.blink != "":
		return f.show(c, &a, rows)
	case len(f.set) > 0:
		return errors.Join(failed, f.give(c, l, &a, rows))
	}
	kept := keptLamps(c.Context(), l.folder.Dir())
	if f.json {
		err = writeJSON(c.OutOrStdout(), lampsJSON(rows, &kept, time.Now()))
	} else {
		writeLamps(c.OutOrStdout(), rows, &kept, time.Now())
	}
	say(c.ErrOrStderr(), "note", notAsked(l.files.Rig, a.universes))
	keepReading(c, l, &a, rows)
	grave := slices.ContainsFunc(rows, func(r lamps.Row) bool {
		return slices.ContainsFunc(r.Differs, func(d lamps.Difference) bool { return d.Grave })
	})
	switch {
	case err != nil, failed != nil:
		return errors.Join(err, failed)
	case grave && !f.json:
		return errStops
	}
	return nil
}

// open opens all outputs that can ask, and says which cannot.
func (f *lampsFlags) open(c *cobra.Command, l *loaded, a *asked) error {
	specs := f.outputs
	if len(specs) == 0 {
		for _, o := range l.files.Bill.Outputs {
			specs = append(specs, o.Spec())
		}
	}
	if len(specs) == 0 {
		return hinted{errors.New("the show names no outputs: there is nothing to ask by"), "--outputs names one, as --outputs 'artnet 192.168.1.20' or --outputs 'widget /dev/ttyUSB0'"}
	}
	universes := universesOf(l.files.Rig)
	var cannot []error
	for _, spec := range specs {
		out, err := line.ParseOut(spec)
		if err != nil {
			return err
		}
		if err := nobodyRuns(c, l.folder.Dir(), &out, universes); err != nil {
			return err
		}
		lines, err := lamps.Open(c.Context(), out, universes)
		switch {
		case errors.Is(err, lamps.ErrNone):
			cannot = append(cannot, fmt.Errorf("%s: %w", spec, err))
			continue
		case err != nil:
			return fmt.Errorf("output %q: %w", spec, err)
		}
		a.close = append(a.close, lines.Close)
		if len(lines.All) == 0 {
			say(c.ErrOrStderr(), "warning", fmt.Sprintf("no node answers by output %q: look at its power and its cable", spec))
		}
		a.lines = append(a.lines, lines.All...)
	}
	if len(a.close) == 0 {
		return hinted{errors.Join(cannot...), "lamps are asked by an Art-Net node with RDM or by a USB interface that has it: --outputs names one"}
	}
	for _, err := range cannot {
		say(c.ErrOrStderr(), "note", err.Error())
	}
	return nil
}

// notAsked names the units whose line nobody asked; "" for none.
func notAsked(r *rig.Rig, asked []int) string {
	var names []string
	for i := range r.Units {
		if u := &r.Units[i]; !slices.Contains(asked, u.Universe) {
			names = append(names, u.Name.Name)
		}
	}
	if names == nil {
		return ""
	}
	const most = 6
	if more := len(names) - most; more > 0 {
		names = append(names[:most], fmt.Sprintf("%d more", more))
	}
	return "not asked, as no output here that can ask brings their data: " + strings.Join(names, ", ")
}

// keepReading keeps what lamps said, for the hours of the next time and the round before doors.
func keepReading(c *cobra.Command, l *loaded, a *asked, rows []lamps.Row) {
	if len(a.devices) == 0 {
		return
	}
	kept := keptLamps(c.Context(), l.folder.Dir())
	kept.Add(lamps.Reading{Time: time.Now(), Asked: a.universes, Rows: rows})
	if err := keepLamps(c.Context(), l.folder.Dir(), &kept); err != nil {
		say(c.ErrOrStderr(), "warning", fmt.Sprintf("what the lamps said cannot be kept: %v", err))
	}
}

// universesOf are the universes of a rig, ascending.
func universesOf(r *rig.Rig) []int {
	var out []int
	for i := range r.Units {
		out = append(out, r.Units[i].Universe)
	}
	slices.Sort(out)
	return slices.Compact(out)
}

// hearRuns is how long is listened for a run: it says that it is there every second.
const hearRuns = 2200 * time.Millisecond

// nobodyRuns refuses to take the lamps from a run that sends them light.
func nobodyRuns(c *cobra.Command, dir string, out *line.Out, universes []int) error {
	hint := "end it first; lamps are asked before the audience is in"
	if name, ok := breathes(dir); ok {
		return hinted{fmt.Errorf("a run of this show is on (%s was written this moment): asking lamps would take the light from it", name), hint}
	}
	if out.Kind != "artnet" {
		return nil // a device has one user, and the system sees to it
	}
	s := output.Sending{ArtNet: true, To: out.Addr}
	if out.Port != artnet.Port {
		s.Port = out.Port
	}
	for _, u := range universes {
		if w, ok := out.Wire(uint16(u)); ok {
			s.Universes = append(s.Universes, w)
		}
	}
	f, meets, err := beacon.Meeting(c.Context(), &s, hearRuns)
	switch {
	case err != nil:
		say(c.ErrOrStderr(), "note", "a run that is on would not be noticed: "+err.Error())
	case meets:
		return hinted{fmt.Errorf("lamps are not asked now: %s", f.Text), hint}
	}
	return c.Context().Err()
}

// breathes tells whether a run of a folder writes its journal now.
func breathes(dir string) (string, bool) {
	for _, d := range nightDirs(dir) {
		all, _ := filepath.Glob(filepath.Join(d, "*.jsonl"))
		for _, name := range all {
			info, err := os.Stat(name)
			if err != nil || time.Since(info.ModTime()) > 3*breath {
				continue
			}
			if over, err := hasEnded(context.Background(), name); err == nil && !over {
				return name, true
			}
		}
	}
	return "", false
}

// read asks all lines.
func (f *lampsFlags) read(c *cobra.Command, a *asked) error {
	var failed []error
	for _, l := range a.lines {
		p := newProgress(c.ErrOrStderr(), "asking lamps, "+l.Name())
		list, err := lamps.Read(c.Context(), l, func(_ int, done float64) { p.set(done) })
		p.done()
		a.devices = append(a.devices, list...)
		if err == nil || len(list) > 0 {
			a.universes = append(a.universes, l.Universe())
		}
		if err != nil && c.Context().Err() == nil {
			failed = append(failed, fmt.Errorf("%s: %w", l.Name(), err))
		}
	}
	slices.Sort(a.universes)
	a.universes = slices.Compact(a.universes)
	return errors.Join(failed...)
}

// rowOf is the row of a unit with its device, which --device may name.
func (f *lampsFlags) rowOf(a *asked, rows []lamps.Row, unit string) (*lamps.Row, error) {
	i := slices.IndexFunc(rows, func(r lamps.Row) bool { return r.Unit == unit })
	if i < 0 {
		return nil, fmt.Errorf("the line of %s was not asked", unit)
	}
	row := &rows[i]
	if f.device != "" {
		var u rdm.UID
		if err := u.UnmarshalText([]byte(f.device)); err != nil {
			return nil, err
		}
		k := slices.IndexFunc(a.devices, func(d lamps.Device) bool { return d.UID == u })
		if k < 0 {
			return nil, fmt.Errorf("no lamp %v answers", u)
		}
		row.Pair(&a.devices[k])
	}
	if row.Device == nil {
		return nil, hinted{fmt.Errorf("nothing stands for %s: no lamp is at its address, and none has its label", unit), "--device says which it is; `lampblack lamps DIR` lists those that are in no rig, and --blink shows them"}
	}
	return row, nil
}

// callerOf is who asks a device.
func (a *asked) callerOf(d *lamps.Device) *lamps.Caller {
	i := slices.IndexFunc(a.lines, func(l lamps.Line) bool { return l.Name() == d.Line })
	return lamps.NewCaller(a.lines[i])
}

// mostReadings bounds the file of readings.
const mostReadings = 8 << 20

// lampsFiles are where the readings of a show may lie.
func lampsFiles(dir string) []string {
	var out []string
	for _, d := range nightDirs(dir) {
		out = append(out, filepath.Join(d, "lamps.json"))
	}
	return out
}

// keptLamps is what lamps said before. A file that is damaged is as none.
func keptLamps(ctx context.Context, dir string) lamps.Kept {
	for _, name := range lampsFiles(dir) {
		text, err := folder.ReadFile(ctx, name, mostReadings)
		if err != nil {
			continue
		}
		if k, err := lamps.ParseKept(text); err == nil {
			return k
		}
	}
	return lamps.Kept{}
}

// keepLamps writes the readings.
func keepLamps(ctx context.Context, dir string, k *lamps.Kept) error {
	var b strings.Builder
	if err := writeJSON(&b, k); err != nil {
		return err
	}
	var failed error
	for _, name := range lampsFiles(dir) {
		err := os.MkdirAll(filepath.Dir(name), 0o755)
		if err == nil {
			err = folder.WriteFile(ctx, name, []byte(b.String()))
		}
		if err == nil {
			return nil
		}
		failed = errors.Join(failed, err)
	}
	return failed
}
