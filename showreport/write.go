package showreport

import (
	"encoding/csv"
	"fmt"
	"io"
	"strconv"
	"strings"
	"time"
)

// cell is text for a table of Markdown.
func cell(text string) string {
	return strings.NewReplacer("|", "\\|", "\n", " ", "\r", " ").Replace(text)
}

// clockTime is when something was, by the clocks of the place.
func clockTime(t time.Time) string { return t.Local().Format("15:04:05") }

// lasts says how long something took, as 1:02:03.
func lasts(seconds float64) string {
	s := int(seconds + .5)
	if s >= 3600 {
		return fmt.Sprintf("%d:%02d:%02d", s/3600, s/60%60, s%60)
	}
	return fmt.Sprintf("%d:%02d", s/60, s%60)
}

// Say writes the report as Markdown, which is text for paper as it is.
func (r *Report) Say(w io.Writer, since []string) error {
	var b strings.Builder
	fmt.Fprintf(&b, "# Show report: %s, night of %s\n\nFrom %s to %s, %s.\n", r.Title, r.Night, r.From.Local().Format("2 January 15:04"), r.To.Local().Format("15:04"), lasts(r.To.Sub(r.From).Seconds()))
	for _, line := range r.Frames {
		fmt.Fprintf(&b, "%s.\n", strings.ToUpper(line[:1])+line[1:])
	}
	r.sayList(&b, "What is another than the night before", since)
	r.saySteps(&b)
	r.sayHappened(&b)
	if len(r.Asked) > 0 {
		fmt.Fprintf(&b, "\n## Who asked\n\n| Who | Done | Refused | The last that was refused |\n|---|---|---|---|\n")
		for _, a := range r.Asked {
			fmt.Fprintf(&b, "| %s | %d | %d | %s |\n", cell(a.Who), a.Done, a.Refused, cell(a.Why))
		}
	}
	r.sayLamps(&b)
	r.sayList(&b, "Not known, or not counted", r.Doubts)
	_, err := io.WriteString(w, b.String())
	return err
}

func (r *Report) sayList(b *strings.Builder, title string, lines []string) {
	if len(lines) == 0 {
		return
	}
	fmt.Fprintf(b, "\n## %s\n\n", title)
	for _, line := range lines {
		fmt.Fprintf(b, "* %s\n", strings.ReplaceAll(line, "\n", " "))
	}
}

func (r *Report) saySteps(b *strings.Builder) {
	fmt.Fprintf(b, "\n## What ran\n")
	for i := range r.Zones {
		z := &r.Zones[i]
		fmt.Fprintf(b, "\n### %s\n\n| At | Step | Took | Usually | Cues | |\n|---|---|---|---|---|---|\n", z.Name)
		for _, s := range z.Steps {
			cut := ""
			if s.Cut {
				cut = "cut off, or goes on"
			}
			fmt.Fprintf(b, "| %s | %s | %s | %s | %d | %s |\n", clockTime(s.At), cell(or(s.Step, r.Title)), lasts(s.Length), lasts(s.Usual), s.Cues, cut)
		}
		if len(z.Lines) > 0 {
			b.WriteString("\n")
		}
		for _, line := range z.Lines {
			fmt.Fprintf(b, "* %s\n", line)
		}
	}
}

func (r *Report) sayHappened(b *strings.Builder) {
	fmt.Fprintf(b, "\n## What happened beside the plan\n\n")
	if len(r.Happened) == 0 {
		b.WriteString("Nothing.\n")
		return
	}
	b.WriteString("| At | What | | Asked by |\n|---|---|---|---|\n")
	for _, h := range r.Happened {
		what := h.What
		if h.Bad {
			what = "**" + what + "**"
		}
		if h.Zone != "" {
			what = cell(h.Zone) + ": " + what
		}
		fmt.Fprintf(b, "| %s | %s | %s | %s |\n", clockTime(h.Time), what, cell(h.Text), cell(h.Who))
	}
}

func (r *Report) sayLamps(b *strings.Builder) {
	fmt.Fprintf(b, "\n## Lamps\n\n| Unit | Lit | As much as at full, h | With black light |\n|---|---|---|---|\n")
	for _, l := range r.Lamps {
		fmt.Fprintf(b, "| %s | %s | %.2f | %s |\n", cell(l.Unit), lasts(3600*l.Lit), l.Full, lasts(3600*l.Violet))
	}
	if len(r.People) == 0 {
		return
	}
	fmt.Fprintf(b, "\n## Ultraviolet at eyes\n\nUV-A of this night, upper end, for somebody who was there all the time and turned to the lamps. A meter beats it.\n\n| Who | Dose, J/m² | Of a day's limit | Under it for |\n|---|---|---|---|\n")
	for _, p := range r.People {
		over := ""
		if p.Dose > p.Limit {
			over = " **more than a day allows**"
		}
		fmt.Fprintf(b, "| %s %s | %.0f | %.0f %%%s | %s |\n", p.Kind, cell(p.Name), p.Dose, 100*p.Dose/p.Limit, over, lasts(3600*p.Hours))
	}
}

// CSV writes the report as one table (RFC 4180): what, when, where, and up to four figures
// named by their columns.
func (r *Report) CSV(w io.Writer, since []string) error {
	c := csv.NewWriter(w)
	f := func(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }
	t := func(at time.Time) string { return at.Format(time.RFC3339) }
	rows := [][]string{{"kind", "time", "name", "text", "who", "seconds", "usual_seconds", "cues", "hours", "full_hours", "violet_hours", "dose_J_m2", "limit_J_m2"}}
	row := func(kind, at, name, text, who string, figures ...string) {
		line := append([]string{kind, at, shield(name), shield(text), shield(who)}, figures...)
		for len(line) < len(rows[0]) {
			line = append(line, "")
		}
		rows = append(rows, line)
	}
	row("night", t(r.From), r.Night, r.Title, "", f(r.To.Sub(r.From).Seconds()))
	for _, line := range since {
		row("changed", "", "", line, "")
	}
	for i := range r.Zones {
		for _, s := range r.Zones[i].Steps {
			row("step", t(s.At), r.Zones[i].Name, s.Step, "", f(s.Length), f(s.Usual), strconv.Itoa(s.Cues))
		}
	}
	for _, h := range r.Happened {
		row("happened", t(h.Time), strings.TrimPrefix(h.Zone+": "+h.What, ": "), h.Text, h.Who)
	}
	for _, a := range r.Asked {
		row("asked", "", fmt.Sprintf("%d done, %d refused", a.Done, a.Refused), a.Why, a.Who)
	}
	for _, l := range r.Lamps {
		row("lamp", "", l.Unit, "", "", "", "", "", f(l.Lit), f(l.Full), f(l.Violet))
	}
	for _, p := range r.People {
		row("person", "", p.Kind+" "+p.Name, "", "", "", "", "", f(p.Hours), "", "", f(p.Dose), f(p.Limit))
	}
	if err := c.WriteAll(rows); err != nil {
		return err
	}
	return c.Error()
}

// shield keeps a spreadsheet from taking a name for a formula.
func shield(text string) string {
	if text != "" && strings.ContainsRune("=+-@\t\r", rune(text[0])) {
		return "'" + text
	}
	return text
}
