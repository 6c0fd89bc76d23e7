package main

import (
	"errors"
	"fmt"
	"io"
	"strings"
	"text/tabwriter"
	"time"

	"github.com/spf13/cobra"

	"lampblack/show"
	"lampblack/si"
	"lampblack/source"
)

const orderHelp = `Print the running order of an evening (order.yaml), or of each zone of a place
(zones.yaml): when each step begins if everything that waits lasts as long as it
usually does, when it begins at the latest, how long it lasts, what ends it, and
what is said before the go that begins it.`

func orderCmd() *cobra.Command {
	var asJSON bool
	c := &cobra.Command{
		Use:   "order DIR",
		Short: "print the running order of an evening, with its times",
		Long:  orderHelp,
		Args:  dirArg,
		RunE: func(c *cobra.Command, args []string) error {
			l, _, err := whole(c, args[0])
			if err != nil {
				return err
			}
			defer l.close()
			if l.place != nil {
				return writePlace(c.OutOrStdout(), l.place, asJSON)
			}
			if l.evening == nil {
				return hinted{errors.New("this show has no running order"), "docs/files.md has the form of " + show.OrderFile}
			}
			list := l.evening.Turns(false)
			if asJSON {
				return writeJSON(c.OutOrStdout(), list)
			}
			return writeOrder(c.OutOrStdout(), list)
		},
	}
	c.Flags().BoolVar(&asJSON, "json", false, "print the list as JSON, times in seconds")
	return c
}

// writePlace prints the orders of all zones.
func writePlace(out io.Writer, p *show.Place, asJSON bool) error {
	zones := p.Turns()
	if asJSON {
		return writeJSON(out, zones)
	}
	for i, z := range zones {
		if i > 0 {
			fmt.Fprintln(out)
		}
		again := ""
		if z.Repeats {
			again = ", again and again"
		}
		fmt.Fprintf(out, "%s%s\n", source.Visible(z.Zone), again)
		if err := writeOrder(out, z.Steps); err != nil {
			return err
		}
	}
	return nil
}

// writeOrder prints the order as a table.
func writeOrder(out io.Writer, list []show.Turn) error {
	var b strings.Builder
	w := tabwriter.NewWriter(&b, 0, 0, 2, ' ', 0)
	fmt.Fprintln(w, "\tusually\tat the latest\tstep\twhat\tlasts\tends\tstandby")
	for i, s := range list {
		fmt.Fprintf(w, "%d\t%s\t%s\t%s\t%s\t%s\t%s\t%s\n", i+1, clockwork(s.Usually), clockwork(s.Latest), source.Visible(s.Name), source.Visible(s.What), turnLasts(&list[i]), source.Visible(s.Ends), source.Visible(s.Standby))
	}
	usually, latest := show.TurnsEnd(list)
	fmt.Fprintf(w, "\t%s\t%s\tthe end\t\t\t\t\n", clockwork(usually.Seconds()), clockwork(latest.Seconds()))
	_ = w.Flush() // into memory
	for line := range strings.Lines(b.String()) {
		if _, err := fmt.Fprintln(out, strings.TrimRight(line, " \n")); err != nil {
			return err
		}
	}
	return nil
}

// turnLasts is how long a step lasts, usually and at most.
func turnLasts(s *show.Turn) string {
	if s.AtMost == s.Lasts {
		return clockwork(s.Lasts)
	}
	return clockwork(s.Lasts) + ", at most " + clockwork(s.AtMost)
}

// clockwork prints seconds as hours, minutes and seconds; an evening is not planned more
// finely.
func clockwork(s float64) string {
	text := si.FormatTime(time.Duration(s * float64(time.Second)).Round(time.Second))
	return text[:len(text)-len(".000")]
}
