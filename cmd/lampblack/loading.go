package main

import (
	"fmt"
	"io"
	"text/tabwriter"

	"github.com/spf13/cobra"

	"lampblack/rig/cabling"
	"lampblack/si"
	"lampblack/source"
)

const loadingHelp = `List what to carry in and what to buy or borrow, for the plans of cables and power:
units by type, data cables and leads by length, splitters, terminators, adaptors,
sockets, and one spare of what is most often missed. The lengths that you own, with
how many there are, make it say what is short.

  lampblack loading DIR
  lampblack loading DIR --lengths "6 of 5 m, 4 of 10 m, 20 m" --leads "3, 5, 2 of 10 m"`

func loadingCmd() *cobra.Command {
	var f cableFlags
	c := &cobra.Command{
		Use:   "loading DIR",
		Short: "list what to carry in: units, cables, what joins them, spares",
		Long:  loadingHelp,
		Args:  dirArg,
		RunE:  func(c *cobra.Command, args []string) error { return listLoading(c, args[0], &f) },
	}
	f.dataFlags(c)
	c.Flags().StringVar(&f.leads, "leads", cabling.Usual.String(), `lengths of leads that you own, as "3, 5, 4 of 10 m"`)
	c.Flags().StringSliceVar(&f.keep, "keep", nil, "circuits to leave free")
	c.Flags().BoolVar(&f.asJSON, "json", false, "print the list as JSON")
	return c
}

func listLoading(c *cobra.Command, dir string, f *cableFlags) error {
	l, err := rigOf(c, dir)
	if err != nil {
		return err
	}
	defer l.close()
	o, err := f.data(l.files.Room)
	if err != nil {
		return err
	}
	s, err := f.supply(l)
	if err != nil {
		return err
	}
	r := l.files.Rig
	lines, err := cabling.PlanLines(r, o)
	if err != nil {
		return unitsHint(err)
	}
	circuits, err := cabling.PlanCircuits(r, s)
	if err != nil {
		say(c.ErrOrStderr(), "note", "leads and sockets are left out: "+err.Error())
	}
	list := cabling.Load(r, lines, circuits, o.Stock, s.Leads)
	if f.asJSON {
		return writeJSON(c.OutOrStdout(), loadOut(list))
	}
	writeLoad(c.OutOrStdout(), list)
	for _, line := range leftOut(r, lines.Left) {
		fmt.Fprintln(c.OutOrStdout(), line)
	}
	return nil
}

// writeLoad prints the list, with a box to tick for each line.
func writeLoad(w io.Writer, list []cabling.Item) {
	t := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	kind, short := "", 0
	for _, it := range list {
		if it.Kind != kind {
			kind = it.Kind
			fmt.Fprintf(t, "%s\n", kind)
		}
		what := source.Visible(it.What)
		if it.Length > 0 {
			what = it.Length.String() + ", " + what
		}
		missing := ""
		if it.Short > 0 {
			missing = fmt.Sprintf("   (%d not owned)", it.Short)
			short += it.Short
		}
		fmt.Fprintf(t, "  □\t%d\t%s%s\n", it.Count, what, missing)
	}
	t.Flush()
	if short > 0 {
		fmt.Fprintf(w, "\n%s to buy or borrow.\n", si.Count(short, "cable", "cables"))
	}
}

type itemOut struct {
	Kind   string  `json:"kind"`
	What   string  `json:"what"`
	Length float64 `json:"length_m,omitempty"`
	Count  int     `json:"count"`
	Short  int     `json:"not_owned,omitempty"`
}

func loadOut(list []cabling.Item) (out []itemOut) {
	for _, it := range list {
		out = append(out, itemOut{it.Kind, it.What, float64(it.Length), it.Count, it.Short})
	}
	return out
}
