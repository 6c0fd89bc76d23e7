package main

import (
	"fmt"
	"io"
	"strings"

	"github.com/spf13/cobra"

	"lampblack/rig"
)

const typesHelp = `List the fixture types that are built in, for lamps without a file of their
own: the modes of each, and what their slots do. A lamp's display or switches
say in which it is; a file in fixtures/ of the same name goes before a type.
Their beams, outputs and supplies are guesses, and marked so.`

func typesCmd() *cobra.Command {
	var asJSON bool
	c := &cobra.Command{
		Use:   "types",
		Short: "list the fixture types that are built in",
		Long:  typesHelp,
		Args:  cobra.NoArgs,
		RunE: func(c *cobra.Command, _ []string) error {
			list := builtIn()
			if asJSON {
				return writeJSON(c.OutOrStdout(), list)
			}
			writeTypes(c.OutOrStdout(), list)
			return nil
		},
	}
	c.Flags().BoolVar(&asJSON, "json", false, "print the list as JSON")
	return c
}

// builtInType is a fixture type of the list.
type builtInType struct {
	Type  string        `json:"type"`
	Name  string        `json:"name"`
	Modes []builtInMode `json:"modes"` // the first is taken where a unit says none
}

type builtInMode struct {
	Mode  string   `json:"mode"`
	Slots []string `json:"slots"` // what each does, from slot 1
}

func builtIn() []builtInType {
	var out []builtInType
	for _, e := range rig.Generic() {
		t := builtInType{Type: e.Name, Name: e.Value.Name}
		for i := range e.Value.Modes {
			m := builtInMode{Mode: e.Value.Modes[i].Name}
			for k := range e.Value.Modes[i].Value.Slots {
				m.Slots = append(m.Slots, slotWord(&e.Value.Modes[i].Value.Slots[k]))
			}
			t.Modes = append(t.Modes, m)
		}
		out = append(out, t)
	}
	return out
}

// slotWord is what a slot does in a word or two.
func slotWord(s *rig.Slot) string {
	switch {
	case s.Cell > 0:
		return fmt.Sprintf("%s %d", s.Drives, s.Cell)
	case s.Drives != "":
		return s.Drives
	case len(s.Dims) > 0:
		return "dimmer"
	case s.Idle != "":
		return s.Idle
	}
	for i := range s.Ranges {
		if s.Ranges[i].Does == rig.Flash {
			return "strobe"
		}
	}
	return "programs"
}

// writeTypes prints the list; slots by cells go on as the first do.
func writeTypes(w io.Writer, list []builtInType) {
	const most = 10
	for _, t := range list {
		fmt.Fprintln(w, t.Type)
		for _, m := range t.Modes {
			slots := m.Slots
			if len(slots) > most {
				slots = append(slots[:6:6], "and so on")
			}
			fmt.Fprintf(w, "  %-9s %s\n", m.Mode, strings.Join(slots, ", "))
		}
	}
}
