package main

import (
	"fmt"
	"io"
	"strings"

	"github.com/spf13/cobra"

	"lampblack/folder"
	"lampblack/rig/described"
	"lampblack/source"
	"lampblack/wire/gdtf"
)

// mostDescription bounds a maker's description; models and pictures in it are most of it.
const mostDescription = 128 << 20

// isDescription tells by its name whether a file is a description and not a table.
func isDescription(file string) bool { return strings.HasSuffix(strings.ToLower(file), ".gdtf") }

// described makes a type of a maker's description.
func (f *fixtureNew) described(c *cobra.Command, args []string) error {
	name := ""
	if len(args) == 2 {
		name = strings.TrimSuffix(args[0], ".yaml")
		if err := typeName(name); err != nil {
			return err
		}
	}
	data, err := folder.ReadFile(c.Context(), args[len(args)-1], mostDescription)
	if err != nil {
		return err
	}
	d, err := gdtf.Parse(data)
	if err != nil {
		return err
	}
	r, err := described.Read(d)
	if err != nil {
		return err
	}
	if name == "" {
		name = described.FileName(r.Name)
	}
	if err := f.free(c.Context(), name); err != nil {
		return err
	}
	out := c.OutOrStdout()
	if f.out == "-" {
		out = c.ErrOrStderr()
	}
	if f.json {
		err = writeJSON(c.OutOrStdout(), struct {
			Name  string           `json:"name"`
			Notes []described.Note `json:"notes"`
		}{name, r.Notes})
	} else {
		understood(out, r)
	}
	if err != nil {
		return err
	}
	return f.write(c, name, r.YAML())
}

// understood prints what a description says, and what is in doubt.
func understood(w io.Writer, r *described.Reading) {
	fmt.Fprint(w, source.VisibleLines(r.Words()))
	if len(r.Notes) > 0 {
		fmt.Fprintln(w, "\nDoubts")
	}
	for _, n := range r.Notes {
		fmt.Fprintf(w, "  %s\n", source.Visible(n.String()))
	}
}
