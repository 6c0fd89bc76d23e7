package export

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"strconv"
	"time"

	"lampblack/show"
	"lampblack/si"
	"lampblack/source"
)

// Cues writes the cue list as it falls in time. Times are in seconds besides the
// form for people, since a spreadsheet reckons with those.
func Cues(s *show.Show) ([]byte, error) {
	var b bytes.Buffer
	w := csv.NewWriter(&b)
	_ = w.Write([]string{"cue", "start", "start s", "up s", "down s", "hold s", "returns s", "lands", "on", "moment", "look", "purpose", "why", "visible steps", "longest wait s"})
	seconds := func(d time.Duration) string { return strconv.FormatFloat(d.Seconds(), 'f', 3, 64) }
	for i := range s.Cues {
		c := &s.Cues[i]
		on, hold, returns := "time", "", ""
		if c.On != nil {
			on = c.On.String()
		}
		if c.Bump() {
			hold, returns = seconds(c.Hold), seconds(*c.Returns)
		}
		visible, wait := "", ""
		if steps, ok := s.Steps(i); ok {
			visible, wait = strconv.Itoa(steps.Visible), seconds(steps.Longest)
		}
		lands := string(c.Lands)
		if lands == "" {
			lands = "starts"
		}
		purpose := ""
		if look := s.Score.Looks.Get(c.Cue.Look.Name); look != nil { // one look may have several states in s.Looks
			purpose = look.Purpose
		}
		_ = w.Write(source.Cells([]string{c.Number.Name, si.FormatTime(c.Start), seconds(c.Start), seconds(c.Up), seconds(c.Falls()), hold, returns,
			lands, on, si.FormatTime(c.Moment), c.Cue.Look.Name, purpose, c.Why, visible, wait}))
	}
	w.Flush()
	if err := w.Error(); err != nil {
		return nil, fmt.Errorf("write table: %w", err)
	}
	return b.Bytes(), nil
}
