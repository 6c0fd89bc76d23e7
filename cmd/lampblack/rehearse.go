package main

import (
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"
	"text/tabwriter"
	"time"

	"github.com/spf13/cobra"

	"lampblack/light"
	"lampblack/rehearse"
	"lampblack/si"
	"lampblack/source"
)

const rehearseHelp = `Go through days of a place, or nights of an evening, in simulated time: groups of
people come at random, pass the beams, wait, stay and leave; somebody gives the goes.
The zones go through their orders as they do when they run.

It prints how long people waited at each zone, which triggers came twice or for
nothing, which steps were never reached, the busy hours, how long each unit burned, and
the ultraviolet that visitors and people who work there had.

People are a model: the same seed gives the same days, another one others. It says what
the files do, not that anybody is safe.`

type rehearseFlags struct {
	visitors, from string
	group          float64
	days           int
	seed           uint64
	json           bool
}

func rehearseCmd() *cobra.Command {
	var f rehearseFlags
	c := &cobra.Command{
		Use:   "rehearse DIR",
		Short: "go through days of a place in simulated time",
		Long:  rehearseHelp,
		Args:  dirArg,
		RunE: func(c *cobra.Command, args []string) error {
			l, s, err := whole(c, args[0])
			if err != nil {
				return err
			}
			defer l.close()
			o, err := f.options(l)
			if err != nil {
				return err
			}
			p := l.place
			if p == nil {
				p = s.Alone(l.evening)
			}
			bar := newProgress(c.ErrOrStderr(), "rehearsing")
			o.Progress = bar.set
			r, err := rehearse.Run(c.Context(), p, o)
			bar.done()
			if err != nil {
				return err
			}
			if o.PerHour > 0 && len(r.Nights) > 0 {
				fmt.Fprintln(c.ErrOrStderr(), "note: an audience is there for the whole evening: --visitors counts for a place that people walk through")
			}
			if f.json {
				return writeJSON(c.OutOrStdout(), r)
			}
			return writeRehearsal(c.OutOrStdout(), r)
		},
	}
	c.Flags().StringVar(&f.visitors, "visitors", "0/h", "how many people come in an hour while the place is open, as 40/h")
	c.Flags().Float64Var(&f.group, "group", 2.5, "people in a group, on the mean")
	c.Flags().IntVar(&f.days, "days", 1, "how many days")
	c.Flags().StringVar(&f.from, "from", "", "the first day, as 2026-12-20; today if left out")
	c.Flags().Uint64Var(&f.seed, "seed", 1, "another number, other people")
	c.Flags().BoolVar(&f.json, "json", false, "print the report as JSON, times in nanoseconds")
	return c
}

func (f *rehearseFlags) options(l *loaded) (o rehearse.Options, err error) {
	number, isRate := strings.CutSuffix(strings.ReplaceAll(f.visitors, " ", ""), "/h")
	o.PerHour, err = strconv.ParseFloat(number, 64)
	if err != nil || !isRate || o.PerHour < 0 || o.PerHour > 1e4 || math.IsNaN(o.PerHour) {
		return o, hinted{fmt.Errorf("%q is no number of people an hour", f.visitors), "as 40/h, up to 10 000/h"}
	}
	if f.days < 1 || f.days > 3660 {
		return o, fmt.Errorf("%d days lie outside 1 to 3660", f.days)
	}
	if f.group < 1 || f.group > 40 {
		return o, fmt.Errorf("groups of %g people lie outside 1 to 40", f.group)
	}
	y, m, d := time.Now().Date()
	o.From = time.Date(y, m, d, 0, 0, 0, 0, time.Local)
	if f.from != "" {
		if o.From, err = time.ParseInLocation(time.DateOnly, f.from, time.Local); err != nil {
			return o, hinted{fmt.Errorf("%q is no date", f.from), "as 2026-12-20"}
		}
	}
	if l.files.Calendar != nil { // the date is that of the place
		o.From = l.files.Calendar.Midnight(o.From.Add(12*time.Hour), 0)
	}
	o.Days, o.Group, o.Seed, o.Hours, o.Triggers = f.days, f.group, f.seed, l.files.Calendar, l.files.Triggers
	return o, nil
}

// writeRehearsal prints the report for a terminal.
func writeRehearsal(out io.Writer, r *rehearse.Report) error {
	var b strings.Builder
	if len(r.Nights) > 0 {
		fmt.Fprintf(&b, "%s of %s to %s\n", si.Count(len(r.Nights), "evening", "evenings"), clockwork(slices.Min(r.Nights).Seconds()), clockwork(slices.Max(r.Nights).Seconds()))
	} else {
		writeVisitors(&b, r)
	}
	for i := range r.Zones {
		writeRehearsedZone(&b, &r.Zones[i], r)
	}
	writeBeams(&b, r)
	writeBusy(&b, r)
	writeBurned(&b, r)
	writeEyes(&b, r)
	_, err := io.WriteString(out, b.String())
	return err
}

// writeVisitors prints how long a place was open, and for whom.
func writeVisitors(b *strings.Builder, r *rehearse.Report) {
	fmt.Fprintf(b, "%s; open for %s", si.Count(r.Days, "day", "days"), hoursOf(r.Open))
	if r.Opened > 0 {
		fmt.Fprintf(b, ", opened %s", si.Count(r.Opened, "time", "times"))
	}
	fmt.Fprintf(b, "; %s in %s\n", si.Count(r.People, "person", "people"), si.Count(r.Groups, "group", "groups"))
}

func hoursOf(d time.Duration) string { return si.Say(d.Hours(), "h") }

// writeRehearsedZone prints what happened in a zone: first what is wrong with it.
func writeRehearsedZone(b *strings.Builder, z *rehearse.Zone, r *rehearse.Report) {
	fmt.Fprintf(b, "\n%s\n", source.Visible(z.Name))
	if z.Groups > 0 {
		n := len(z.Waits)
		fmt.Fprintf(b, "  %s came; half waited %s or less, one in twenty more than %s, the longest %s; %d stood at its door at most\n",
			si.Count(z.Groups, "group", "groups"), clockwork(z.Waits[n/2].Seconds()), clockwork(z.Waits[n*95/100].Seconds()), clockwork(z.Waits[n-1].Seconds()), z.Queue)
	}
	if z.Unserved > 0 {
		fmt.Fprintf(b, "  for %s it did not begin: they came while it re-armed, or while others were inside\n", si.Count(z.Unserved, "group", "groups"))
	}
	if z.LeftResting > 0 && z.Groups > 0 {
		fmt.Fprintf(b, "  groups stood in its rest look for %s on the mean\n", clockwork(z.LeftResting.Seconds()/float64(z.Groups)))
	}
	if r.People > 0 && (z.Visitor.Most > 0 || z.Staff > 0) {
		fmt.Fprintf(b, "  UV-A inside, of all zones, at the worst seat: half had %s or less, the most %s; it gives %s a day to who works there\n", si.Say(z.Visitor.Median, "J/m2"), si.Say(z.Visitor.Most, "J/m2"), si.Say(z.Staff, "J/m2"))
	}
	if z.Goes > 0 {
		fmt.Fprintf(b, "  somebody gave go %s\n", si.Count(z.Goes, "time", "times"))
	}
	w := tabwriter.NewWriter(b, 0, 0, 2, ' ', 0)
	fmt.Fprintln(w, "  step\ttimes\tin all\tthe longest\t")
	for _, s := range z.Steps {
		word := ""
		if s.Times == 0 {
			word = "NEVER REACHED"
		}
		fmt.Fprintf(w, "  %s\t%d\t%s\t%s\t%s\n", source.Visible(s.Name), s.Times, clockwork(s.Time.Seconds()), clockwork(s.Longest.Seconds()), word)
	}
	_ = w.Flush() // into memory
}

// writeBeams prints what became of all that came to the triggers.
func writeBeams(b *strings.Builder, r *rehearse.Report) {
	if len(r.Trigger) == 0 {
		return
	}
	b.WriteString("\n")
	w := tabwriter.NewWriter(b, 0, 0, 2, ' ', 0)
	fmt.Fprintln(w, "trigger\tcame\ttook on\tdoubled\ttoo short\tfor nothing\toutside hours")
	for _, t := range r.Trigger {
		fmt.Fprintf(w, "%s\t%d\t%d\t%d\t%d\t%d\t%d\n", source.Visible(t.Name), t.Came, t.Taken, t.Deaf, t.Short, t.Missed, t.Asleep)
	}
	_ = w.Flush() // into memory
}

// writeBusy draws the hours of the day.
func writeBusy(b *strings.Builder, r *rehearse.Report) {
	most := 0
	for _, h := range r.Hours {
		most = max(most, h.People)
	}
	if most == 0 {
		return
	}
	b.WriteString("\npeople by the hour of the day\n")
	for h, v := range r.Hours {
		if v.People > 0 {
			fmt.Fprintf(b, "  %2d:00  %s %d\n", h, strings.Repeat("▪", max(40*v.People/most, 1)), v.People)
		}
	}
}

// writeBurned prints how long the lamps burned.
func writeBurned(b *strings.Builder, r *rehearse.Report) {
	b.WriteString("\n")
	w := tabwriter.NewWriter(b, 0, 0, 2, ' ', 0)
	fmt.Fprintln(w, "unit\tlit\tas much as at full for")
	for _, u := range r.Units {
		if u.Lit > 0 {
			fmt.Fprintf(w, "%s\t%s\t%s\n", source.Visible(u.Name), hoursOf(u.Lit), si.Say(u.Full, "h"))
		}
	}
	_ = w.Flush() // into memory
}

// writeEyes prints the ultraviolet that people had.
func writeEyes(b *strings.Builder, r *rehearse.Report) {
	fmt.Fprintf(b, "\nultraviolet at eyes, UV-A in a day; at most %s (%s)\n", si.Say(light.DailyUVA, "J/m2"), light.DailyUVASource)
	if r.People > 0 {
		fmt.Fprintf(b, "  a visitor at the worst seat: half %s or less, one in twenty more than %s, the most %s\n", si.Say(r.Visitor.Median, "J/m2"), si.Say(r.Visitor.P95, "J/m2"), si.Say(r.Visitor.Most, "J/m2"))
	}
	for _, e := range r.Eyes {
		over := ""
		if e.Dose > light.DailyUVA {
			over = "  MORE THAN A DAY ALLOWS"
		}
		fmt.Fprintf(b, "  %s, all day long: %s%s\n", source.Visible(e.Name), si.Say(e.Dose, "J/m2"), over)
	}
}
