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
	fmt.Fprintln(t, "unit\tlamp\tat\tmode, slots\tnow\thours on")
	for i := range rows {
		r := &rows[i]
		fmt.Fprintln(t, strings.Join(cells(r, kept, now), "\t"))
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

// cells are the columns of a row.
func cells(r *lamps.Row, kept *lamps.Kept, now time.Time) []string {
	if r.Device == nil {
		return []string{brief(r.Unit, 16), "does not answer", "", "", "", ""}
	}
	d := r.Device
	at := "no slots"
	if d.Address > 0 {
		at = fmt.Sprintf("%d.%d", d.Universe, d.Address)
	}
	return []string{
		brief(cmp.Or(r.Unit, "in no rig"), 16),
		brief(lampName(r), 28),
		at,
		fmt.Sprintf("%s, %d", brief(cmp.Or(d.ModeName(), "?"), 12), d.Footprint),
		temperature(d),
		hoursOn(d, kept, now),
	}
}

// lampName is what a device is; its identifier and label first where it is in no rig.
func lampName(r *lamps.Row) string {
	d := r.Device
	if r.Unit == "" {
		return strings.TrimSpace(d.UID.String() + " " + cmp.Or(d.Label, d.Model))
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

// hoursOn is how long it was on, and since when it was asked before.
func hoursOn(d *lamps.Device, kept *lamps.Kept, now time.Time) string {
	var parts []string
	if d.Hours != nil {
		text := fmt.Sprintf("%d h", *d.Hours)
		if hours, when, ok := kept.Since(d, now); ok {
			text += fmt.Sprintf(" (%d since %s)", hours, when.Local().Format("2 Jan"))
		}
		parts = append(parts, text)
	}
	if d.LampHours != nil {
		parts = append(parts, fmt.Sprintf("lamp %d h", *d.LampHours))
	}
	if parts == nil {
		return "-"
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
