package main

import (
	"fmt"
	"io"
	"strings"

	"github.com/spf13/cobra"

	"lampblack/rig"
)

const fixtureListHelp = `List the fixture types that are built in, for lamps without a file of their
own: how large they are taken to be, what their light comes to, the modes of
each, and what their slots do. A lamp's display or switches say in which mode it
is; a file in fixtures/ of the same name goes before a type. Their beams, outputs
and supplies are guesses, and marked so. For a lamp of your own, fixture new.`

func fixtureListCmd() *cobra.Command {
	var asJSON bool
	c := &cobra.Command{
		Use:   "list",
		Short: "list the fixture types that are built in",
		Long:  fixtureListHelp,
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
	Light []string      `json:"light"` // of each emitter, at full: an interval
	From  string        `json:"from"`  // where these figures come from
	Modes []builtInMode `json:"modes"` // the first is taken where a unit says none
}

type builtInMode struct {
	Mode  string   `json:"mode"`
	Slots []string `json:"slots"` // what each does, from slot 1
}

func builtIn() []builtInType {
	var out []builtInType
	for _, e := range rig.Generic() {
		t := builtInType{Type: e.Name, Name: e.Value.Name, From: e.Value.Notes}
		for i := range e.Value.Emitters {
			t.Light = append(t.Light, e.Value.Emitters[i].Name+" "+outputWords(&e.Value.Emitters[i].Value.Output))
		}
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

// outputWords is an emitter's output with its interval.
func outputWords(o *rig.Output) string {
	if o.InLumens() {
		return fmt.Sprintf("%v to %v", o.Luminous.Low, o.Luminous.High)
	}
	return fmt.Sprintf("%v to %v", o.Radiant.Low, o.Radiant.High)
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
		fmt.Fprintf(w, "%s\n  light     %s\n", t.Type, strings.Join(t.Light, ", "))
		for _, m := range t.Modes {
			slots := m.Slots
			if len(slots) > most {
				slots = append(slots[:6:6], "and so on")
			}
			fmt.Fprintf(w, "  %-9s %s\n", m.Mode, strings.Join(slots, ", "))
		}
		if t.From != "" {
			fmt.Fprintf(w, "  from      %s\n", t.From)
		}
	}
}
