package main

import (
	"errors"
	"fmt"
	"io"
	"strings"
	"text/tabwriter"
	"time"

	"github.com/spf13/cobra"

	"lampblack/play/trigger"
	"lampblack/show"
	"lampblack/source"
)

const triggersHelp = `Print what each trigger of a show (triggers.yaml) listens to and which of its
closings count.

With --watch it listens, and prints what comes in as it comes, so that one
person alone can try each contact; --bell rings the terminal's bell with each
trigger that fires, for whoever stands on a ladder. Only what counts fires: a
line "closes" without "fires" was too short, or came while the trigger was deaf.
Keys of triggers are taken from this terminal; q ends it, or ctrl-c.

Whoever works on ladders or with mains contacts needs a second person and
somebody qualified: a contact here is extra-low voltage, never mains.`

type triggersFlags struct {
	watch, bell, json bool
	length            string
	times             int
}

func triggersCmd() *cobra.Command {
	var f triggersFlags
	c := &cobra.Command{
		Use:   "triggers DIR",
		Short: "print what each trigger listens to, or what comes in",
		Long:  triggersHelp,
		Args:  dirArg,
		RunE: func(c *cobra.Command, args []string) error {
			t, err := readTriggers(c, args[0])
			if err != nil {
				return err
			}
			if f.watch {
				return f.watchThem(c, triggerList(t))
			}
			if f.bell || f.length != "" || f.times != 0 {
				return hinted{errors.New("--bell, --for and --times are for --watch"), "add --watch"}
			}
			if f.json {
				return writeJSON(c.OutOrStdout(), triggersJSON(t))
			}
			return writeTriggers(c.OutOrStdout(), t)
		},
	}
	c.Flags().BoolVar(&f.watch, "watch", false, "listen, and print what comes in")
	c.Flags().BoolVar(&f.bell, "bell", false, "with --watch: ring the terminal's bell with each that fires")
	c.Flags().StringVar(&f.length, "for", "", "with --watch: stop after this long, as 10s")
	c.Flags().IntVar(&f.times, "times", 0, "with --watch: stop when so many have fired")
	c.Flags().BoolVar(&f.json, "json", false, "print JSON: the list, or one object for each thing that comes in")
	return c
}

// readTriggers reads a show's triggers. What is wrong with its other files does not keep
// anybody from trying contacts.
func readTriggers(c *cobra.Command, dir string) (*show.Triggers, error) {
	l, faults, err := read(c.Context(), c.ErrOrStderr(), dir)
	if err != nil {
		return nil, err
	}
	defer l.close()
	var ours source.Faults
	for _, f := range faults {
		if f.Pos.File == show.TriggersFile {
			ours = append(ours, f)
		}
	}
	switch {
	case ours.Err() != nil:
		return nil, ours
	case l.files.Triggers == nil:
		return nil, hinted{errors.New("this show has no triggers"), "docs/files.md has the form of " + show.TriggersFile}
	}
	return l.files.Triggers, nil
}

// triggerList is what package trigger listens to; the triggers have no faults.
func triggerList(t *show.Triggers) trigger.List {
	var out trigger.List
	for _, e := range t.Triggers {
		from, _ := e.Value.From()
		out.Triggers = append(out.Triggers, trigger.Trigger{Name: e.Name, From: from,
			Rules: trigger.Rules{Debounce: e.Value.Debounce, Rearm: e.Value.Rearm, Dwell: e.Value.Dwell}})
	}
	for _, e := range t.Inside {
		out.Pairs = append(out.Pairs, trigger.Pair{Place: e.Name, Enters: e.Value.Enters.Name, Leaves: e.Value.Leaves.Name})
	}
	return out
}

// triggerLine is a trigger of the list; times in seconds.
type triggerLine struct {
	Name     string  `json:"trigger"`
	Source   string  `json:"source"`
	Listens  string  `json:"listensTo"`
	Debounce float64 `json:"debounce"`
	Dwell    float64 `json:"dwell"`
	Rearm    float64 `json:"rearm"`
}

type insideLine struct {
	Place  string `json:"place"`
	Enters string `json:"enters"`
	Leaves string `json:"leaves"`
}

type triggersReport struct {
	Triggers []triggerLine `json:"triggers"`
	Inside   []insideLine  `json:"inside"`
}

func triggersJSON(t *show.Triggers) triggersReport {
	r := triggersReport{Triggers: []triggerLine{}, Inside: []insideLine{}}
	for _, e := range t.Triggers {
		v := e.Value
		from, _ := v.From()
		r.Triggers = append(r.Triggers, triggerLine{e.Name, v.Source.Name, from.Say(), v.Debounce.Seconds(), v.Dwell.Seconds(), v.Rearm.Seconds()})
	}
	for _, e := range t.Inside {
		r.Inside = append(r.Inside, insideLine{e.Name, e.Value.Enters.Name, e.Value.Leaves.Name})
	}
	return r
}

// writeTriggers prints the list as a table.
func writeTriggers(out io.Writer, t *show.Triggers) error {
	var b strings.Builder
	w := tabwriter.NewWriter(&b, 0, 0, 2, ' ', 0)
	fmt.Fprintln(w, "trigger\tdebounce\tdwell\tre-arm\tlistens to")
	for _, e := range t.Triggers {
		from, _ := e.Value.From()
		fmt.Fprintf(w, "%s\t%s\t%s\t%s\t%s\n", source.Visible(e.Name), span(e.Value.Debounce), span(e.Value.Dwell), span(e.Value.Rearm), source.Visible(from.Say()))
	}
	_ = w.Flush() // into memory
	for _, e := range t.Inside {
		fmt.Fprintf(&b, "\n%s: entered past %s, left past %s\n", source.Visible(e.Name), source.Visible(e.Value.Enters.Name), source.Visible(e.Value.Leaves.Name))
	}
	for line := range strings.Lines(b.String()) {
		if _, err := fmt.Fprintln(out, strings.TrimRight(line, " \n")); err != nil {
			return err
		}
	}
	return nil
}

// span prints a time of a rule as a person would write it; none as a dash.
func span(d time.Duration) string {
	switch {
	case d == 0:
		return "-"
	case d < time.Second:
		return fmt.Sprintf("%g ms", d.Seconds()*1000)
	case d < 2*time.Minute:
		return fmt.Sprintf("%g s", d.Seconds())
	case d < 2*time.Hour:
		return fmt.Sprintf("%g min", d.Minutes())
	}
	return fmt.Sprintf("%g h", d.Hours())
}
