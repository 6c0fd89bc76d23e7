package retake

import (
	"fmt"
	"strings"
	"time"
)

// String tells the map in words: what of the new track came from where, and what
// of the old is gone.
func (m Map) String() string {
	var b strings.Builder
	fmt.Fprintf(&b, "old track %s, new take %s\n", clock(m.OldLength), clock(m.NewLength))
	spans, added := m.Spans, m.Added
	for len(spans)+len(added) > 0 {
		if len(spans) == 0 || len(added) > 0 && added[0].From < spans[0].New.From {
			fmt.Fprintf(&b, "%s  is new\n", added[0])
			added = added[1:]
			continue
		}
		fmt.Fprintf(&b, "%s  was %s%s\n", spans[0].New, spans[0].Old, spans[0].remark())
		spans = spans[1:]
	}
	for _, c := range m.Cut {
		fmt.Fprintf(&b, "%s  of the old track is gone\n", c)
	}
	return b.String()
}

// remark says what is special about a span.
func (s Span) remark() string {
	var words []string
	if s.Speed > 1.00005 || s.Speed < 0.99995 {
		words = append(words, fmt.Sprintf("played at %+.2f %% speed", (s.Speed-1)*100))
	}
	if !s.Exact {
		words = append(words, "placed by likeness only")
	}
	if s.Confidence < 0.9 {
		words = append(words, fmt.Sprintf("confidence %.2f", s.Confidence))
	}
	if len(words) == 0 {
		return ""
	}
	return ", " + strings.Join(words, ", ")
}

// String gives both times as minutes and seconds.
func (i Interval) String() string { return clock(i.From) + " to " + clock(i.To) }

// clock writes a time as m:ss.mmm.
func clock(d time.Duration) string {
	d = d.Round(time.Millisecond)
	return fmt.Sprintf("%d:%06.3f", d/time.Minute, (d % time.Minute).Seconds())
}
