package main

import (
	"cmp"
	"fmt"
	"io"
	"strings"
	"text/tabwriter"
	"time"

	"lampblack/play/lamps"
	"lampblack/source"
)

// lampJSON is a row with what it came to since it was asked before.
type lampJSON struct {
	lamps.Row
	Since *sinceJSON `json:"since,omitempty"`
}

type sinceJSON struct {
	Time  time.Time `json:"time"`
	Hours uint32    `json:"hours"`
}

func lampsJSON(rows []lamps.Row, kept *lamps.Kept, now time.Time) []lampJSON {
	out := []lampJSON{}
	for _, r := range rows {
		j := lampJSON{Row: r}
		if r.Device != nil {
			if hours, when, ok := kept.Since(r.Device, now); ok {
				j.Since = &sinceJSON{when, hours}
			}
		}
		out = append(out, j)
	}
	return out
}

// writeLamps prints a line a lamp, and below it what differs.
func writeLamps(w io.Writer, rows []lamps.Row, kept *lamps.Kept, now time.Time) {
	var table strings.Builder
	t := tabwriter.NewWriter(&table, 0, 0, 2, ' ', 0)
	fmt.Fprintln(t, "unit\tlamp\tat\tmode, slots\thottest\ton for")
	for i := range rows {
		r := &rows[i]
		fmt.Fprintln(t, strings.Join(cells(r), "\t"))
	}
	_ = t.Flush() // into memory
	lines := strings.Split(table.String(), "\n")
	fmt.Fprintln(w, lines[0])
	answer, grave := 0, 0
	for i := range rows {
		fmt.Fprintln(w, strings.TrimRight(lines[i+1], " "))
		if rows[i].Device != nil {
			answer++
		}
		if text := counts(&rows[i], kept, now); text != "" {
			writeWrapped(w, "    ", text, width(w))
		}
		for _, d := range rows[i].Differs {
			if d.Grave {
				grave++
			}
			if rows[i].Device != nil {
				writeWrapped(w, "    ", d.Text, width(w))
			}
			writeWrapped(w, "      -> ", d.Do, width(w))
		}
	}
	fmt.Fprintf(w, "%d answer, %d do not; %d differ from rig.yaml\n", answer, len(rows)-answer, grave)
}

// cells are the columns of a row; together they fit into 80.
func cells(r *lamps.Row) []string {
	if r.Device == nil {
		return []string{brief(r.Unit, 13), "does not answer", "", "", "", ""}
	}
	d := r.Device
	at := "no slots"
	if d.Address > 0 {
		at = fmt.Sprintf("%d.%d", d.Universe, d.Address)
	}
	return []string{
		brief(cmp.Or(r.Unit, "in no rig"), 13),
		brief(lampName(r), 17),
		at,
		fmt.Sprintf("%s, %d", brief(cmp.Or(d.ModeName(), "?"), 9), d.Footprint),
		temperature(d),
		hoursOn(d),
	}
}

// lampName is what a device is.
func lampName(r *lamps.Row) string {
	d := r.Device
	if r.Unit == "" {
		return cmp.Or(d.Label, d.Model, d.Maker, "?")
	}
	return cmp.Or(d.Model, d.Maker, d.UID.String())
}

// temperature is the hottest that it feels.
func temperature(d *lamps.Device) string {
	var hot *lamps.Sensor
	for i := range d.Sensors {
		if s := &d.Sensors[i]; s.Temperature && (hot == nil || s.Value > hot.Value) {
			hot = s
		}
	}
	if hot == nil {
		return "-"
	}
	return hot.Text()
}

// hoursOn is how long it was on, as it counts.
func hoursOn(d *lamps.Device) string {
	if d.Hours == nil {
		return "-"
	}
	return fmt.Sprintf("%d h", *d.Hours)
}

// counts is what else it counts, and what came to it since it was asked before; the identifier
// of one that is in no rig.
func counts(r *lamps.Row, kept *lamps.Kept, now time.Time) string {
	d := r.Device
	if d == nil {
		return ""
	}
	var parts []string
	if r.Unit == "" {
		parts = append(parts, d.UID.String())
	}
	if hours, when, ok := kept.Since(d, now); ok {
		parts = append(parts, fmt.Sprintf("%d h more than on %s", hours, when.Local().Format("2 January 2006")))
	}
	if d.LampHours != nil && *d.LampHours > 0 {
		parts = append(parts, fmt.Sprintf("its lamp burned %d h", *d.LampHours))
	}
	if d.Strikes != nil && *d.Strikes > 0 {
		parts = append(parts, fmt.Sprintf("was struck %d times", *d.Strikes))
	}
	return strings.Join(parts, ", ")
}

// brief cuts a text that a table has no room for. Tabs and line ends would break the table.
func brief(text string, most int) string {
	r := []rune(source.Visible(text))
	if len(r) <= most {
		return string(r)
	}
	return string(r[:most-1]) + "…"
}

// writeWrapped prints a text below a head, in lines that fit.
func writeWrapped(w io.Writer, head, text string, most int) {
	at := 0
	for i, word := range strings.Fields(source.Visible(text)) {
		n := len([]rune(word))
		switch {
		case i == 0:
			fmt.Fprint(w, head)
			at = len(head)
		case at+1+n > most:
			fmt.Fprint(w, "\n"+strings.Repeat(" ", len(head)))
			at = len(head)
		default:
			fmt.Fprint(w, " ")
			at++
		}
		fmt.Fprint(w, word)
		at += n
	}
	fmt.Fprintln(w)
}
