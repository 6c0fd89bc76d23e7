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
			list := runningOrder(l.evening, false)
			if asJSON {
				return writeJSON(c.OutOrStdout(), list)
			}
			return writeOrder(c.OutOrStdout(), list)
		},
	}
	c.Flags().BoolVar(&asJSON, "json", false, "print the list as JSON, times in seconds")
	return c
}

// zoneOrder is the running order of a zone.
type zoneOrder struct {
	Zone    string     `json:"zone"`
	Repeats bool       `json:"repeats"`
	Steps   []stepLine `json:"steps"`
}

// writePlace prints the orders of all zones.
func writePlace(out io.Writer, p *show.Place, asJSON bool) error {
	var zones []zoneOrder
	for i := range p.Zones {
		z := &p.Zones[i]
		zones = append(zones, zoneOrder{z.Name, z.Repeats, runningOrder(z.Evening, z.Repeats)})
	}
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
func writeOrder(out io.Writer, list []stepLine) error {
	var b strings.Builder
	w := tabwriter.NewWriter(&b, 0, 0, 2, ' ', 0)
	fmt.Fprintln(w, "\tusually\tat the latest\tstep\twhat\tlasts\tends\tstandby")
	for i, s := range list {
		fmt.Fprintf(w, "%d\t%s\t%s\t%s\t%s\t%s\t%s\t%s\n", i+1, clockwork(s.Usually), clockwork(s.Latest), source.Visible(s.Name), source.Visible(s.What), s.lasts(), source.Visible(s.Ends), source.Visible(s.Standby))
	}
	usually, latest := ends(list)
	fmt.Fprintf(w, "\t%s\t%s\tthe end\t\t\t\t\n", clockwork(usually), clockwork(latest))
	_ = w.Flush() // into memory
	for line := range strings.Lines(b.String()) {
		if _, err := fmt.Fprintln(out, strings.TrimRight(line, " \n")); err != nil {
			return err
		}
	}
	return nil
}

// stepLine is a line of the running order; times in seconds from the beginning.
type stepLine struct {
	Name    string  `json:"step"`
	Stands  bool    `json:"stands"`
	What    string  `json:"what"` // the look, or the soundtrack
	Usually float64 `json:"usually"`
	Latest  float64 `json:"latest"`
	Lasts   float64 `json:"lasts"`           // usually
	AtMost  float64 `json:"atMost"`          // the same for a piece
	Ends    string  `json:"ends"`            // go, a time, a trigger; by itself for a piece
	Waits   int     `json:"waits,omitempty"` // inside a piece
	Standby string  `json:"standby,omitempty"`
}

func (s *stepLine) lasts() string {
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

// runningOrder lists the steps. The times of a zone that rests in its first step count from
// where it leaves that.
func runningOrder(e *show.Evening, rests bool) []stepLine {
	var out []stepLine
	at, rest := 0.0, 0.0
	for i := range e.Steps {
		s := &e.Steps[i]
		line := stepLine{Name: s.Name(), Stands: s.Stands(), What: s.Look.Name, Standby: s.Standby,
			Usually: at, Latest: max(s.Start.Seconds()-rest, 0), Lasts: s.Usual().Seconds(), AtMost: s.Show.Length.Seconds()}
		switch {
		case s.Own():
			line.What = s.Show.Bill.Soundtrack.Name
		case !s.Stands():
			line.What = s.Soundtrack.Name
			if line.What == "" {
				line.What = "without sound"
			}
		}
		if line.Ends = s.Until.String(); !s.Stands() {
			line.Ends, line.Waits = "by itself", len(s.Show.Waits)
		}
		switch line.Waits {
		case 0:
		case 1:
			line.Ends += ", with a wait"
		default:
			line.Ends += fmt.Sprintf(", with %d waits", line.Waits)
		}
		if rests && i == 0 {
			rest = line.AtMost
		} else {
			at += line.Lasts
		}
		out = append(out, line)
	}
	return out
}

// ends are when the evening is over, usually and at the latest.
func ends(list []stepLine) (usually, latest float64) {
	last := list[len(list)-1]
	return last.Usually + last.Lasts, last.Latest + last.AtMost
}
