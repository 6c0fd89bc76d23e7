package main

import (
	"fmt"
	"io"

	"github.com/spf13/cobra"

	"lampblack/check/finding"
)

const checkHelp = `Measure a show against its limits: its files, addresses, flashes over all
units together, ultraviolet and blue light at every eye, supply, data lines,
darkness, and the show against what it asks for.

Each finding has its value, limit, time, place and source. What nobody said is
guessed, and what only a guess would tell is not judged: that stands at the end,
with the fact that is worth most next. Where nobody said where eyes are, what the worst
of some places would get is told as a warning. The exit status is 1
when there is a finding that stops a run. This computes; it never says that a
room or a rig is legal: local codes and licensed people decide.`

// checkCmd prints what the checks found, whole, before it says by its exit status that
// something stops a run. --json is the short word for --form json.
func checkCmd() *cobra.Command {
	var form string
	var asJSON, mending bool
	c := &cobra.Command{
		Use:   "check DIR",
		Short: "measure a show against its limits",
		Long:  checkHelp,
		Args:  dirArg,
		RunE: func(c *cobra.Command, args []string) error {
			if mending {
				return mendFolder(c, args[0])
			}
			if asJSON {
				form = "json"
			}
			l, err := load(c.Context(), c.ErrOrStderr(), args[0])
			if err != nil {
				return err
			}
			if err := writeFindings(c.OutOrStdout(), l.findings, form); err != nil {
				return err
			}
			if len(finding.Stops(l.findings)) > 0 {
				return errStops
			}
			return nil
		},
	}
	c.Flags().BoolVar(&asJSON, "json", false, "print JSON")
	c.Flags().BoolVar(&mending, "mend", false, "change the files, by the change that costs the show least and passes, and show each")
	c.Flags().StringVar(&form, "form", "text", "how to print: text, json, junit or sarif")
	return c
}

// writeFindings prints in the form that was asked for: for a person, or for the
// programs that look over a repository.
func writeFindings(w io.Writer, list []finding.Finding, form string) error {
	switch form {
	case "text":
		writeFound(w, list)
		return nil
	case "json":
		return finding.WriteJSON(w, list)
	case "junit":
		return finding.WriteJUnit(w, list)
	case "sarif":
		return finding.WriteSARIF(w, list)
	}
	return hinted{fmt.Errorf("there is no form %q", form), "text, json, junit or sarif"}
}
