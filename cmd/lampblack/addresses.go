package main

import (
	"cmp"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"
	"text/tabwriter"

	"github.com/spf13/cobra"

	"lampblack/rig"
	"lampblack/rig/address"
	"lampblack/show"
	"lampblack/si"
	"lampblack/source"
)

const addressesHelp = `Plan which slots the units listen to, and print what each is to be set to: the
address, and the switches of a lamp that has no display.

Units on one data line stay in one universe, in the order of the line. Units of
one mode that share an address go on sharing it. Without --style as few units as
can be are set anew: those that overlap, or go past the end of their universe.

  lampblack addresses DIR                     what to set anew
  lampblack addresses DIR --style tens        1, 11, 21, 31: easy to say and to find
  lampblack addresses DIR --style grid 16     as a desk with 16 slots a lamp has them
  lampblack addresses DIR --write             the same, written into rig.yaml

Whether a lamp is set so, only the lamp tells: bench and lamps ask it.`

// addressFlags are the flags of the command.
type addressFlags struct {
	style         string
	spare         int
	write, asJSON bool
}

func addressesCmd() *cobra.Command {
	var f addressFlags
	c := &cobra.Command{
		Use:   "addresses DIR",
		Short: "plan the addresses of the units, with the switches to set",
		Long:  addressesHelp,
		Args:  dirArg,
		RunE:  func(c *cobra.Command, args []string) error { return planAddresses(c, args[0], &f) },
	}
	c.Flags().StringVar(&f.style, "style", string(address.Least), "least, packed, tens, or \"grid 16\"")
	c.Flags().IntVar(&f.spare, "spare", 0, "slots to leave free behind each unit")
	c.Flags().BoolVar(&f.write, "write", false, "write the addresses into rig.yaml")
	c.Flags().BoolVar(&f.asJSON, "json", false, "print the plan as JSON")
	return c
}

// options reads the style.
func (f *addressFlags) options() (o address.Options, err error) {
	word, number, sized := strings.Cut(f.style, " ")
	o = address.Options{Style: address.Style(word), Spare: f.spare}
	var words []string
	for _, s := range address.Styles {
		words = append(words, string(s))
	}
	switch {
	case !slices.Contains(address.Styles, o.Style):
		return o, hinted{fmt.Errorf("there is no style %q", word), source.OneOf(word, words)}
	case sized != (o.Style == address.Grid):
		return o, hinted{fmt.Errorf("the style %q is not whole", f.style), `a grid has its slots behind it, the others have nothing: --style "grid 16"`}
	case sized:
		if _, err := fmt.Sscanf(number, "%d", &o.Grid); err != nil {
			return o, hinted{fmt.Errorf("%q is no number of slots", number), `as --style "grid 16"`}
		}
	}
	return o, nil
}

// planAddresses plans, prints, and writes where it is told to. What is wrong with other files is no
// matter here, and overlapping addresses are what it is for.
func planAddresses(c *cobra.Command, dir string, f *addressFlags) error {
	o, err := f.options()
	if err != nil {
		return err
	}
	l, faults, err := read(c.Context(), c.ErrOrStderr(), dir)
	if err != nil {
		return err
	}
	defer l.close()
	if l.files.Rig == nil {
		return faults.Err()
	}
	places, err := address.Plan(l.files.Rig, o)
	switch {
	case errors.Is(err, address.ErrFull):
		return err
	case err != nil:
		return hinted{err, `as --style "grid 16" --spare 2`}
	case len(places) == 0:
		return hinted{errors.New("no unit of the rig has slots"), "units: in " + show.RigFile + ", each with a type and a mode"}
	}
	if f.asJSON {
		err = writeJSON(c.OutOrStdout(), addressList(l.files.Rig, places))
	} else {
		writeAddresses(c.OutOrStdout(), l.files.Rig, places)
	}
	if err != nil || !f.write {
		return err
	}
	return writePlan(c, l, places)
}

// writePlan writes the addresses that change, all of them or none.
func writePlan(c *cobra.Command, l *loaded, places []address.Place) error {
	moved := slices.DeleteFunc(slices.Clone(places), func(p address.Place) bool { return !p.Moved })
	if len(moved) == 0 {
		fmt.Fprintln(c.ErrOrStderr(), "nothing to write: all stand as planned")
		return nil
	}
	_, _, err := rewrite(c.Context(), l.folder.Dir(), show.RigFile, func(data []byte) ([]byte, error) { return addressed(data, moved) })
	if err == nil {
		fmt.Fprintf(c.ErrOrStderr(), "%s written into %s; now set the lamps\n", si.Count(len(moved), "address", "addresses"), show.RigFile)
	}
	return err
}

// addressed is the text of a rig with units at other addresses.
func addressed(data []byte, moved []address.Place) ([]byte, error) {
	text, faults := source.OpenText(show.RigFile, data)
	if text == nil {
		return nil, faults.Err()
	}
	for _, p := range moved {
		if err := text.SetKey("address", fmt.Sprint(p.Address), "units", p.Unit); err != nil {
			return nil, err
		}
		if p.Universe == p.WasUniverse {
			continue
		}
		if err := text.SetKey("universe", fmt.Sprint(p.Universe), "units", p.Unit); err != nil {
			return nil, err
		}
	}
	return text.Bytes()
}

// addressRow is one unit of the list, for programs.
type addressRow struct {
	Unit     string `json:"unit"`
	Type     string `json:"type"`
	Mode     string `json:"mode,omitempty"`
	Universe int    `json:"universe"`
	From     int    `json:"from"`
	To       int    `json:"to"`
	Was      string `json:"was,omitempty"`
	Switches []int  `json:"switches_on"`
}

func addressList(r *rig.Rig, places []address.Place) []addressRow {
	var out []addressRow
	for _, p := range places {
		u := &r.Units[p.Unit]
		out = append(out, addressRow{u.Name.Name, u.TypeName.Name, p.Mode, p.Universe, p.Address, p.Last, was(p), on(p)})
	}
	slices.SortStableFunc(out, func(a, b addressRow) int {
		return cmp.Or(cmp.Compare(a.Universe, b.Universe), cmp.Compare(a.From, b.From))
	})
	return out
}

// was is what a unit was set to, where that changes.
func was(p address.Place) string {
	switch {
	case !p.Moved:
		return ""
	case p.Universe != p.WasUniverse:
		return fmt.Sprintf("%d.%d", p.WasUniverse, p.WasAddress)
	}
	return fmt.Sprint(p.WasAddress)
}

// on lists the switches that are on, from 1.
func on(p address.Place) (out []int) {
	for i, v := range p.Switches {
		if v {
			out = append(out, i+1)
		}
	}
	return out
}

// writeAddresses prints the list: by universe and address, each with its switches drawn, what changes
// marked.
func writeAddresses(w io.Writer, r *rig.Rig, places []address.Place) {
	t := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	fmt.Fprintln(t, "universe\tslots\tunit\ttype, mode\tswitches 1 to 9\twas")
	universe, moved := 0, 0
	for _, a := range addressList(r, places) {
		u := ""
		if a.Universe != universe {
			universe, u = a.Universe, fmt.Sprint(a.Universe)
		}
		kind := a.Type
		if a.Mode != "" {
			kind += ", " + a.Mode
		}
		if a.Was != "" {
			moved++
		}
		fmt.Fprintf(t, "%s\t%d to %d\t%s\t%s\t%s\t%s\n", u, a.From, a.To, source.Visible(a.Unit), source.Visible(kind), drawn(a.Switches), a.Was)
	}
	t.Flush()
	fmt.Fprintf(w, "\n%s of %d to be set anew. ■ is on; the switches count 1, 2, 4, 8, 16, 32, 64, 128, 256; a few lamps\ncount from 0 and want one less.\n", si.Count(moved, "unit", "units"), len(places))
}

func drawn(switches []int) string {
	out := []rune("□□□□□□□□□")
	for _, n := range switches {
		out[n-1] = '■'
	}
	return string(out)
}
