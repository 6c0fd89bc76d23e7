package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"time"

	"github.com/spf13/cobra"

	"lampblack/folder"
	"lampblack/plate"
	"lampblack/positions"
	"lampblack/rig"
	"lampblack/show"
	"lampblack/si"
	"lampblack/source"
)

const positionsHelp = `Suggest where units hang or stand and what they aim at, so that looks get what they
ask for: lux, glow, what stays dark, what is not to be seen. Units with "at" and "aim"
in rig.yaml stay; the others are placed. What a look asks for at a level, and not in
lux or glow, says nothing of places, and its units are left.

  lampblack positions DIR
  lampblack positions DIR --units "6 colour par for front, 2 black light flood for uv"
  lampblack positions DIR --move               the placed ones may move as well
  lampblack positions DIR --for 30s            the best that is found in that time
  lampblack positions DIR -o FOLDER            the list and the plan as a picture
  lampblack positions DIR --write              at and aim, written into rig.yaml

Units go on bars, stands and trees of rig.yaml (supports:); where it has no stand, on
stands from 1 m to 3 m high, and on the floor. Not over or in paths and seats, not in a
line of sight, not near performers and their marks, no lens in an audience eye, not
nearer to what burns, or to what is lit, than the maker allows. Ctrl-c gives the best
so far, in a few seconds; a second one ends it at once. The same seed gives the same
places, unless time cuts it off.

Places are suggestions, for people who may hang things over others: weights, second
suspension, ways out and black light near eyes are looked at by who is trained for it.`

type positionsFlags struct {
	units, out          string
	move, write, asJSON bool
	within              time.Duration
	seed                uint64
}

func positionsCmd() *cobra.Command {
	var f positionsFlags
	c := &cobra.Command{
		Use:   "positions DIR",
		Short: "suggest where units hang and aim, so that looks get what they ask for",
		Long:  positionsHelp,
		Args:  dirArg,
		RunE:  func(c *cobra.Command, args []string) error { return findPositions(c, args[0], &f) },
	}
	c.Flags().StringVar(&f.units, "units", "", `units that the rig does not have yet, as "6 colour par (7 slots) for front"`)
	c.Flags().BoolVar(&f.move, "move", false, "units that have a place may be moved as well")
	c.Flags().DurationVar(&f.within, "for", time.Minute, "at most so long; 0 for as long as it takes")
	c.Flags().Uint64Var(&f.seed, "seed", 1, "another seed may find other places")
	c.Flags().StringVarP(&f.out, "output", "o", "", "a folder for the list and the plan")
	c.Flags().BoolVar(&f.write, "write", false, "write the places into rig.yaml")
	c.Flags().BoolVar(&f.asJSON, "json", false, "print the places as JSON")
	return c
}

// toConclude is how long what was found by ctrl-c may take to be judged and printed.
const toConclude = 30 * time.Second

func findPositions(c *cobra.Command, dir string, f *positionsFlags) error {
	l, err := readWell(c, dir)
	if l != nil {
		defer l.close()
	}
	if err != nil {
		return err
	}
	if l.files.Rig == nil || l.files.Room == nil || l.files.Score == nil {
		return hinted{errors.New("a rig, a room and looks are wanted"), "`lampblack new DIR` writes all three, to build on"}
	}
	text, err := f.add(l)
	if err != nil {
		return err
	}
	stop.allow(toConclude)
	bar := newProgress(c.ErrOrStderr(), "placing units of "+dir)
	plan, err := positions.Find(c.Context(), l.files, positions.Options{Move: f.move, For: f.within, Seed: f.seed, Progress: bar.set})
	bar.done()
	if errors.Is(err, positions.ErrNothing) {
		return hinted{err, `leave out "at" or "aim" of a unit in rig.yaml, add some with --units, or use --move; looks ask by lux: and glow:`}
	}
	if err != nil {
		return err
	}
	if f.asJSON {
		err = writeJSON(c.OutOrStdout(), positionsOut(plan))
	} else {
		plan.Write(c.OutOrStdout())
	}
	ctx := context.WithoutCancel(c.Context()) // what was found by then is kept
	if err == nil && f.out != "" {
		err = drawPositions(ctx, plan, f.out)
	}
	if err == nil && f.write {
		err = writePositions(ctx, c, l, plan, text)
	}
	return err
}

// add puts units that are not there yet into the rig, and returns the text that it then has.
func (f *positionsFlags) add(l *loaded) ([]byte, error) {
	text := l.texts[show.RigFile]
	if f.units == "" {
		return text, nil
	}
	groups, err := positions.ReadGroups(f.units)
	if err != nil {
		return nil, hinted{err, `as --units "6 colour par for front, 2 black light flood for uv"`}
	}
	var fault source.Fault
	if text, err = positions.Added(show.RigFile, text, l.files.Rig, l.files.Score, groups); errors.As(err, &fault) {
		return nil, hinted{errors.New(fault.Text), fault.Hint}
	} else if err != nil {
		return nil, err
	}
	r, faults := rig.Read(show.RigFile, text, l.files.Rig.Types)
	if err := faults.Err(); err != nil {
		return nil, err
	}
	l.files.Rig = r
	l.files.Room.Suppose(r)
	return text, nil
}

// drawPositions writes the list and the lighting plan.
func drawPositions(ctx context.Context, p *positions.Plan, out string) error {
	var list bytes.Buffer
	p.Write(&list)
	plot := plate.Plot{Title: p.Show.Bill.Title + ": suggested positions", Room: p.Show.Room, Rig: p.Rig, Transport: p.Show.Transport}
	files, err := inBothForms("plan", plot.Draw)
	if err != nil {
		return err
	}
	return writeAll(ctx, out, append(files, namedFile{"positions.txt", list.Bytes()}))
}

// writePositions changes the rig's file, whole or not at all, if it is still what the plan was made of.
func writePositions(ctx context.Context, c *cobra.Command, l *loaded, p *positions.Plan, text []byte) error {
	read := l.texts[show.RigFile]
	_, _, err := rewrite(ctx, l.folder.Dir(), show.RigFile, func(now []byte) ([]byte, error) {
		if !bytes.Equal(now, read) {
			return nil, unlessChanged(folder.ErrChanged)
		}
		return p.Changed(show.RigFile, text)
	})
	if err == nil {
		fmt.Fprintf(c.ErrOrStderr(), "places of %s written into %s; `lampblack check` looks at them\n", si.Count(len(p.Spots), "unit", "units"), show.RigFile)
	}
	return err
}

// positionOut is one unit for programs.
type positionOut struct {
	Mark    int        `json:"mark"`
	Unit    string     `json:"unit"`
	On      string     `json:"on"`
	At      [3]float64 `json:"at_m"`
	Aim     [3]float64 `json:"aim_m"`
	Target  string     `json:"aims_at"`
	Throw   float64    `json:"throw_m"`
	Pan     float64    `json:"pan_degrees"`
	Tilt    float64    `json:"tilt_degrees"`
	KeepOut float64    `json:"keep_out_m,omitempty"`
}

type missOut struct {
	Look   string  `json:"look"`
	Text   string  `json:"text"`
	Wanted float64 `json:"wanted"`
	Found  float64 `json:"found"`
	Unit   string  `json:"unit"`
}

type positionsList struct {
	Units  []positionOut `json:"units"`
	Misses []missOut     `json:"misses"`
	Cut    bool          `json:"cut_off"`
	Coarse bool          `json:"verdict_is_coarse"`
	More   int           `json:"units_more_would_do,omitempty"`
}

func positionsOut(p *positions.Plan) positionsList {
	out := positionsList{Cut: p.Cut, Coarse: p.Coarse, More: p.More, Misses: []missOut{}}
	for _, n := range p.Notes() {
		o := positionOut{Mark: n.Mark, Unit: n.Unit, On: n.On, Target: n.Target, Throw: n.Throw, Pan: n.Pan, Tilt: n.Tilt, KeepOut: n.KeepOut}
		for i := range o.At {
			o.At[i], o.Aim[i] = float64(n.At[i]), float64(n.Aim[i])
		}
		out.Units = append(out.Units, o)
	}
	for _, m := range p.Misses {
		out.Misses = append(out.Misses, missOut{m.Look, m.Text, m.Wanted, m.Found, m.Unit})
	}
	return out
}
