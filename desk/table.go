package desk

import (
	"encoding/csv"
	"fmt"
	"io"
	"strings"

	"lampblack/source"
)

// WriteCSV writes the scenes as a table, in the order to program them: number,
// bank, place, name, recall, fade in seconds, then the value of every slot on the
// desk's own scale.
func (p *Plan) WriteCSV(w io.Writer) error {
	c := csv.NewWriter(w)
	unit := ""
	if p.Desk.Faders == ScalePercent {
		unit = " %"
	}
	head := []string{"scene", "bank", "place", "name", "recall", "fade s"}
	for n := range p.Desk.Slots {
		head = append(head, fmt.Sprintf("slot %d", n+1)+unit)
	}
	c.Write(head)
	for _, i := range p.Order {
		s := &p.Scenes[i]
		row := []string{fmt.Sprint(s.Number), fmt.Sprint(s.Bank), fmt.Sprint(s.Place), s.Name, s.recall(), fmt.Sprintf("%.3g", s.Fade.Seconds())}
		for _, v := range s.Values {
			row = append(row, strings.TrimSuffix(p.Desk.Level(v), " %"))
		}
		c.Write(source.Cells(row))
	}
	c.Flush()
	return c.Error()
}
