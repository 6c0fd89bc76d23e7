package soundtrack

import (
	"encoding/csv"
	"io"
	"strconv"
	"time"

	"lampblack/source"
)

// WriteCSV writes the moments as a table for spreadsheets, with a head line;
// times in seconds, levels in LUFS, frequencies in hertz.
func (t *Track) WriteCSV(w io.Writer) error {
	c := csv.NewWriter(w)
	c.Write([]string{"time", "end", "kind", "strength", "rank", "sort", "label", "bar", "beat",
		"low", "high", "attack", "decay", "band from", "band to", "before", "after", "why"})
	for _, m := range t.Moments {
		c.Write(source.Cells(m.row()))
	}
	c.Flush()
	return c.Error()
}

// row is one line of the table; what a kind of moment does not have is left empty.
func (m Moment) row() []string {
	s := func(d time.Duration) string { return strconv.FormatFloat(d.Seconds(), 'f', 4, 64) }
	n := func(v float64, digits int) string { return strconv.FormatFloat(v, 'f', digits, 64) }
	count := func(v int) string {
		if v == 0 {
			return ""
		}
		return strconv.Itoa(v)
	}
	row := []string{s(m.Time), s(m.End), string(m.Kind), n(m.Strength, 3), count(m.Rank), m.Sort, m.Label, count(m.Bar), count(m.Beat)}
	if m.Kind == Hit {
		row = append(row, s(m.Low), s(m.High), s(m.Attack), s(m.Decay),
			n(m.Band[0], 0), n(m.Band[1], 0), n(m.Before, 1), n(m.After, 1))
	} else {
		row = append(row, make([]string, 8)...)
	}
	return append(row, m.Why)
}
