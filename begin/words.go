package begin

import (
	"fmt"
	"strings"
	"time"

	"lampblack/si"
	"lampblack/soundtrack"
)

// heard says what listening found.
func heard(t *soundtrack.Track) string {
	hits, turns := 0, 0
	for i := range t.Moments {
		switch t.Moments[i].Kind {
		case soundtrack.Hit:
			hits++
		case soundtrack.Turn:
			turns++
		}
	}
	return fmt.Sprintf("%s long; %s and %s were heard", si.FormatTime(t.Duration.Truncate(time.Second)), si.Count(hits, "hit", "hits"), si.Count(turns, "turn", "turns"))
}

// String says what looking for places came to.
func (p *Proposal) String() string {
	text := si.Count(p.Placed, "lamp has", "lamps have") + " a place"
	if len(p.Left) > 0 {
		text += "; none was found for " + strings.Join(p.Left[:min(len(p.Left), 6)], ", ") + ": drag them"
	}
	if len(p.Misses) > 0 {
		text += "; not all that looks ask for is reached: " + strings.Join(p.Misses[:min(len(p.Misses), 3)], "; ")
	}
	if len(p.Ground) > 0 {
		text += ". Places that were allowed: " + strings.Join(p.Ground, ", ")
	}
	return text
}
