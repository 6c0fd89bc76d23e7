package main

import (
	"fmt"

	"github.com/spf13/cobra"

	"lampblack/folder"
	"lampblack/rig"
	"lampblack/rig/described"
	"lampblack/source"
)

const exportTypeHelp = `Write a fixture type of the show, or a built-in one, as a description by DIN SPEC 15800
(GDTF) for other programs. What the standard has no place for is told, and stands in the
description's text for people: intervals, inrush and leakage current, what the lamp does
when data stops.`

// exportTypeCmd needs no show that is solved: a type is whole by itself.
func exportTypeCmd() *cobra.Command {
	var out string
	c := &cobra.Command{
		Use:   "gdtf DIR TYPE -o FILE",
		Short: "write a fixture type as a description of DIN SPEC 15800 (GDTF)",
		Long:  exportTypeHelp,
		Args:  cobra.ExactArgs(2),
		RunE: func(c *cobra.Command, args []string) error {
			if out == "" {
				return hinted{fmt.Errorf("where to write is not said"), "add -o FILE"}
			}
			t, err := typeIn(c, args[0], args[1])
			if err != nil {
				return err
			}
			d, notes := described.Write(t)
			data, err := d.Append(nil)
			if err != nil {
				return fmt.Errorf("export gdtf: %w", err)
			}
			for _, n := range notes {
				say(c.ErrOrStderr(), "note", source.Visible(n.String()))
			}
			return folder.WriteFile(c.Context(), out, data)
		},
	}
	c.Flags().StringVarP(&out, "output", "o", "", "the file to write")
	return c
}

// typeIn is a fixture type of the show, or a built-in one.
func typeIn(c *cobra.Command, dir, name string) (*rig.Type, error) {
	l, _, err := read(c.Context(), c.ErrOrStderr(), dir)
	if err != nil {
		return nil, err
	}
	defer l.close()
	var known []string
	for _, list := range []source.Named[*rig.Type]{l.files.Rig.Types, rig.Generic()} {
		if t := list.Get(name); t != nil {
			return *t, nil
		}
		known = append(known, source.Names(list)...)
	}
	return nil, hinted{fmt.Errorf("there is no fixture type %q", name), source.OneOf(name, known)}
}
