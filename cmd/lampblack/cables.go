package main

import (
	"errors"
	"fmt"
	"io"
	"maps"
	"slices"
	"strings"
	"text/tabwriter"

	"github.com/spf13/cobra"

	"lampblack/rig"
	"lampblack/rig/cabling"
	"lampblack/room"
	"lampblack/show"
	"lampblack/si"
	"lampblack/source"
)

const cablesHelp = `Plan the data lines: which unit hangs behind which, with cables of the lengths that
you own, splitters where a line has more than 32 unit loads or 300 m or where a leg
saves cable, a terminator in the last unit of each, and a spare.

Cables lie along walls and bars: over head height they stay up there, else they go
down to the floor and up again, with a tenth and half a metre at each end to spare.
Up to 14 units of a universe the plan is the least of all; of more it says how
far from the least it may be. Places are those of rig.yaml; what nobody said is
guessed, and the plan says so.

  lampblack cables DIR
  lampblack cables DIR --desk "0 m, -8 m, 1 m"     where the outputs are
  lampblack cables DIR --lengths "3, 5, 4 of 10 m"  what you own; four of 10 m
  lampblack cables DIR --write                     written into rig.yaml

Keep data cables away from supply cables, and cross them square. No cable lies where
people walk, and none in a way out, unless it is taped down or under a ramp.`

// cableFlags are the flags of the commands that plan cables.
type cableFlags struct {
	desk, lengths, leads, connector string
	leg                             float64
	keep                            []string
	write, asJSON                   bool
}

func cablesCmd() *cobra.Command {
	var f cableFlags
	c := &cobra.Command{
		Use:   "cables DIR",
		Short: "plan the data lines: order, cables, splitters, terminators",
		Long:  cablesHelp,
		Args:  dirArg,
		RunE:  func(c *cobra.Command, args []string) error { return planCables(c, args[0], &f) },
	}
	f.dataFlags(c)
	c.Flags().BoolVar(&f.write, "write", false, "write the lines into rig.yaml")
	c.Flags().BoolVar(&f.asJSON, "json", false, "print the plan as JSON")
	return c
}

func (f *cableFlags) dataFlags(c *cobra.Command) {
	c.Flags().StringVar(&f.desk, "desk", "", `where the outputs and splitters are, as "0 m, -8 m, 1 m"; before the middle of the wall behind the audience if absent`)
	c.Flags().StringVar(&f.lengths, "lengths", cabling.Usual.String(), `lengths of data cables that you own, as "3, 5, 4 of 10 m"`)
	c.Flags().Float64Var(&f.leg, "leg", 20, "cable that one more leg of a splitter has to save, in m")
	c.Flags().StringVar(&f.connector, "connector", "", "what the outputs have, 5-pin or 3-pin, to count adaptors")
}

// rigOf reads a show for its rig alone: what is wrong with other files is no matter here.
func rigOf(c *cobra.Command, dir string) (*loaded, error) {
	l, faults, err := read(c.Context(), c.ErrOrStderr(), dir)
	if err != nil {
		return nil, err
	}
	if l == nil || l.files.Rig == nil {
		if l != nil {
			l.close()
		}
		return nil, faults.Err()
	}
	return l, nil
}

// data are the options of data lines.
func (f *cableFlags) data(r *room.Room) (o cabling.Options, err error) {
	if !(f.leg >= 0) || f.leg > 1000 {
		return o, hinted{fmt.Errorf("a leg has to save %v m", f.leg), "--leg is a length from 0 to 1000"}
	}
	o.Leg = max(si.Length(f.leg), 1e-6)
	if o.Output = rig.DataConnector(f.connector); f.connector != "" && !slices.Contains(o.Output.Choices(), f.connector) {
		return o, hinted{fmt.Errorf("there is no connector %q", f.connector), source.OneOf(f.connector, o.Output.Choices())}
	}
	if o.Stock, err = cabling.ReadStock(f.lengths); err != nil {
		return o, hinted{err, `as --lengths "3, 5, 4 of 10 m"`}
	}
	o.Desk = cabling.Place{0, .5, 1}
	if r != nil {
		o.Desk[1] -= r.Front
	}
	if f.desk != "" {
		o.Desk, err = placeOf(f.desk)
	}
	return o, err
}

// placeOf reads a place: three lengths.
func placeOf(text string) (p cabling.Place, err error) {
	parts := strings.Split(strings.Trim(text, "[] "), ",")
	bad := hinted{fmt.Errorf("%q is no place", text), `three lengths, as --desk "0 m, -8 m, 1 m"`}
	if len(parts) != 3 {
		return p, bad
	}
	for i, part := range parts {
		if err := p[i].UnmarshalText([]byte(strings.TrimSpace(part))); err != nil || !(max(p[i], -p[i]) <= 1000) {
			return p, bad
		}
	}
	return p, nil
}

func planCables(c *cobra.Command, dir string, f *cableFlags) error {
	l, err := rigOf(c, dir)
	if err != nil {
		return err
	}
	defer l.close()
	o, err := f.data(l.files.Room)
	if err != nil {
		return err
	}
	r := l.files.Rig
	plan, err := cabling.PlanLines(r, o)
	if err != nil {
		return unitsHint(err)
	}
	if f.asJSON {
		err = writeJSON(c.OutOrStdout(), linesOut(r, plan))
	} else {
		writeLines(c.OutOrStdout(), r, plan, &o)
	}
	if err != nil || !f.write {
		return err
	}
	if !plan.Placed {
		return hinted{errors.New("not written: the places of some units are guesses"), "say at: for each unit in " + show.RigFile}
	}
	return writeRig(c, l, "the data lines", func(data []byte) ([]byte, error) { return plan.Write(show.RigFile, data, r) })
}

func unitsHint(err error) error {
	if errors.Is(err, cabling.ErrNoUnits) {
		return hinted{err, "units: in " + show.RigFile + ", each with a type and a mode"}
	}
	return err
}

// writeRig writes a plan into the rig's file, all of it or nothing.
func writeRig(c *cobra.Command, l *loaded, what string, with func([]byte) ([]byte, error)) error {
	before, after, err := rewrite(c.Context(), l.folder.Dir(), show.RigFile, with)
	switch {
	case err != nil:
		return err
	case string(before) == string(after):
		fmt.Fprintln(c.ErrOrStderr(), "nothing to write: all stands as planned")
	default:
		fmt.Fprintf(c.ErrOrStderr(), "%s written into %s; now lay them\n", what, show.RigFile)
	}
	return nil
}

// writeLines prints the lines: unit by unit, with the cable that reaches it.
func writeLines(w io.Writer, r *rig.Rig, p *cabling.Lines, o *cabling.Options) {
	t := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	fmt.Fprintln(t, "line\tfrom\tto\taddress\tcable\tway")
	several := len(r.Universes()) > 1
	for i := range p.Lines {
		line := &p.Lines[i]
		name, from := source.Visible(line.Name), source.Visible(line.From)
		for k, h := range line.Hops {
			to := source.Visible(r.Units[h.To].Name.Name)
			if h.Adaptor != "" {
				to += fmt.Sprintf(", adaptor to %s", h.Adaptor)
			}
			if k == len(line.Hops)-1 {
				to += ", terminator"
			}
			fmt.Fprintf(t, "%s\t%s\t%s\t%s\t%s\t%s\n", name, from, to, where(&r.Units[h.To], several), pieces(h.Pieces), si.Say(float64(h.Run), "m"))
			name, from = "", ""
		}
	}
	t.Flush()
	fmt.Fprintln(w)
	for _, line := range lineNotes(r, p, o) {
		fmt.Fprintln(w, line)
	}
}

// where is what a unit listens to, with its universe where there are several.
func where(u *rig.Unit, several bool) string {
	if several {
		return fmt.Sprintf("%d.%d", u.Universe, u.Address)
	}
	return fmt.Sprint(u.Address)
}

func pieces(lengths []si.Length) string {
	var out []string
	for _, l := range lengths {
		out = append(out, l.String())
	}
	return strings.Join(out, " and ")
}

// lineNotes are the words below the list.
func lineNotes(r *rig.Rig, p *cabling.Lines, o *cabling.Options) []string {
	out := []string{fmt.Sprintf("%s of data cable on %s, from outputs at %v, %v, %v. %s", si.Say(float64(p.Metres), "m"), si.Count(len(p.Lines), "line", "lines"),
		o.Desk[0], o.Desk[1], o.Desk[2], nearness(p.Exact, p.Cost, p.Bound))}
	if now, whole := cabling.Present(r, *o); whole {
		out = append(out, fmt.Sprintf("As %s has them, from the same place: %s.", show.RigFile, si.Say(float64(now), "m")))
	}
	for _, universe := range slices.Sorted(maps.Keys(p.Legs)) {
		out = append(out, fmt.Sprintf("Universe %d: a splitter of %d legs or more stands beside the output.", universe, p.Legs[universe]))
	}
	if p.Joined > 0 {
		out = append(out, fmt.Sprintf("Some runs are longer than the longest cable: %s in them, each one more thing that can fail.", si.Count(p.Joined, "joint", "joints")))
	}
	out = append(out, fmt.Sprintf("A spare data cable of %v and a spare terminator lie by, tested.", p.Spare))
	out = append(out, leftOut(r, p.Left)...)
	if !p.Placed {
		out = append(out, "The places of some units are guesses: say at: for each in "+show.RigFile+", and plan again.")
	}
	return out
}

// leftOut says which units a plan knows nothing to do with.
func leftOut(r *rig.Rig, units []int) []string {
	if units == nil {
		return nil
	}
	var names []string
	for _, u := range units {
		names = append(names, r.Units[u].Name.Name)
	}
	return []string{"Left out, as they have no type or mode that is known: " + source.Visible(source.First(names, 6)) + "."}
}

// nearness says whether a plan is the least, or how near it is.
func nearness(exact bool, cost, bound float64) string {
	if exact {
		return "No other way takes less."
	}
	return fmt.Sprintf("Not all ways were tried: the least may be up to %s less.", si.Say(100*cabling.Apart(cost, bound), "%"))
}

// hopOut and the like are the plan for programs.
type hopOut struct {
	To      string    `json:"to"`
	Way     float64   `json:"way_m"`
	Cables  []float64 `json:"cables_m"`
	Adaptor string    `json:"adaptor,omitempty"`
}

type lineOut struct {
	Line       string   `json:"line"`
	Universe   int      `json:"universe"`
	From       string   `json:"from"`
	Length     float64  `json:"length_m"`
	Loads      float64  `json:"unit_loads"`
	Terminator string   `json:"terminator"`
	Hops       []hopOut `json:"hops"`
}

type planOut struct {
	Lines   []lineOut      `json:"lines"`
	Desk    [3]float64     `json:"desk_m"`
	Metres  float64        `json:"cable_m"`
	Least   bool           `json:"least"`
	Bound   float64        `json:"at_most_less_percent"`
	Legs    map[string]int `json:"splitter_legs,omitempty"`
	Spare   float64        `json:"spare_m"`
	Guessed bool           `json:"guessed_places"`
	LeftOut []string       `json:"left_out,omitempty"`
}

func linesOut(r *rig.Rig, p *cabling.Lines) planOut {
	out := planOut{Metres: float64(p.Metres), Least: p.Exact, Bound: 100 * cabling.Apart(p.Cost, p.Bound), Spare: float64(p.Spare), Guessed: !p.Placed, Legs: map[string]int{}}
	for i, v := range p.Desk {
		out.Desk[i] = float64(v)
	}
	for universe, legs := range p.Legs {
		out.Legs[fmt.Sprint(universe)] = legs
	}
	for _, u := range p.Left {
		out.LeftOut = append(out.LeftOut, r.Units[u].Name.Name)
	}
	for i := range p.Lines {
		l := &p.Lines[i]
		one := lineOut{Line: l.Name, Universe: l.Universe, From: l.From, Length: float64(l.Length), Loads: l.Loads}
		for _, h := range l.Hops {
			one.Terminator = r.Units[h.To].Name.Name
			one.Hops = append(one.Hops, hopOut{one.Terminator, float64(h.Run), numbers(h.Pieces), string(h.Adaptor)})
		}
		out.Lines = append(out.Lines, one)
	}
	return out
}

func numbers(lengths []si.Length) (out []float64) {
	for _, l := range lengths {
		out = append(out, float64(l))
	}
	return out
}
