package calendar

import (
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"

	"lampblack/source"
)

// Clock is a time of day as clocks show it, in minutes from midnight on.
type Clock int

const noon24 Clock = 24 * 60 // the midnight at the end of a day, 24:00

var clockForm = regexp.MustCompile(`^([0-9]{1,2}):([0-5][0-9])$`)

// UnmarshalText reads hours and minutes: 9:30, 18:00; 24:00 is the day's end.
func (c *Clock) UnmarshalText(b []byte) error {
	parts := clockForm.FindSubmatch(b)
	if parts == nil {
		return fmt.Errorf("%q should be a time of day, as 9:30 or 18:00", b)
	}
	h, _ := strconv.Atoi(string(parts[1]))
	m, _ := strconv.Atoi(string(parts[2]))
	if *c = Clock(h*60 + m); *c > noon24 {
		return fmt.Errorf("%q: a day ends at 24:00", b)
	}
	return nil
}

// Units says how the value is written.
func (Clock) Units() string { return "hours:minutes, 0:00 to 24:00" }

func (c Clock) String() string { return fmt.Sprintf("%d:%02d", int(c)/60, int(c)%60) }

// Span is a stretch of opening, "10:00 to 18:00". One that ends before it begins
// goes over midnight.
type Span struct {
	source.Pos
	From, To Clock
}

func (s Span) String() string { return s.From.String() + " to " + s.To.String() }

// end is when it ends, in minutes from the midnight at which its day began.
func (s Span) end() Clock {
	if s.To <= s.From {
		return s.To + noon24
	}
	return s.To
}

// Hours are the spans of one day; none when the place is closed.
type Hours struct {
	source.Pos
	Spans []Span
}

// mostSpans bounds the spans of a day.
const mostSpans = 24

const spanHint = "as 10:00 to 18:00, [10:00 to 13:00, 14:00 to 18:00], 20:00 to 2:00 over midnight, or closed"

// ReadSource reads "closed", a span, or a list of spans.
func (h *Hours) ReadSource(v source.Value) {
	h.Pos = v.Pos()
	if v.IsMap() || !v.IsText() && !v.IsList() {
		v.Fault(spanHint, "opening hours should stand here")
		return
	}
	list := v.List()
	if len(list) > mostSpans {
		v.Fault("", "%d spans are more than the %d of one day", len(list), mostSpans)
		list = list[:mostSpans]
	}
	for _, item := range list {
		if text := item.Text(); text != "closed" {
			h.span(item, text)
		} else if len(list) > 1 {
			item.Fault("", "a day is closed or has hours, and not both")
		}
	}
	slices.SortStableFunc(h.Spans, func(a, b Span) int { return int(a.From - b.From) })
}

func (h *Hours) span(v source.Value, text string) {
	s := Span{Pos: v.Pos()}
	from, to, both := strings.Cut(text, " to ")
	if !both {
		v.Fault(spanHint, "%q should be a span of opening hours", text)
		return
	}
	err := s.From.UnmarshalText([]byte(strings.TrimSpace(from)))
	if err == nil {
		err = s.To.UnmarshalText([]byte(strings.TrimSpace(to)))
	}
	switch {
	case err != nil:
		v.Fault("", "%v", err)
	case s.From == noon24:
		v.Fault("write 0:00 on the next day", "the span %s begins where its day ends", s)
	case s.From == s.To:
		v.Fault("a whole day is 0:00 to 24:00", "the span %s has no length", s)
	default:
		h.Spans = append(h.Spans, s)
	}
}

// JSONSchema describes the form.
func (Hours) JSONSchema() map[string]any {
	span := map[string]any{"type": "string", "pattern": `^(closed|[0-9]{1,2}:[0-9]{2} to [0-9]{1,2}:[0-9]{2})$`, "description": "opening hours: " + spanHint}
	return map[string]any{"anyOf": []any{span, map[string]any{"type": "array", "items": span}}}
}

// Week holds the hours of the seven days.
type Week struct {
	source.Pos
	Days [7]Hours // by time.Weekday; a day that is not named is closed
}

var weekdays = []string{"monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday"}

// ReadSource reads hours for every day, or a mapping from days to hours, with keys as
// monday, monday to friday, every day.
func (w *Week) ReadSource(v source.Value) {
	w.Pos = v.Pos()
	if !v.IsMap() {
		var h Hours
		h.ReadSource(v)
		for i := range w.Days {
			w.Days[i] = h
		}
		return
	}
	var line [7]int
	v.Each(func(key source.Ref, v source.Value) {
		days := daysOf(key.Name)
		if days == nil {
			v.Fault(dayHint(key.Name), "%q is no day of the week", key.Name)
			return
		}
		var h Hours
		h.ReadSource(v)
		for _, d := range days {
			if line[d] > 0 {
				v.Fault(fmt.Sprintf("the first is on line %d", line[d]), "%s has hours twice", weekdays[(d+6)%7])
				continue
			}
			w.Days[d], line[d] = h, key.Pos.Line
		}
	})
}

func dayHint(name string) string {
	from, to, both := strings.Cut(name, " to ")
	for _, part := range []string{from, to} {
		if (both || part == from) && !slices.Contains(weekdays, part) {
			return source.OneOf(part, append(slices.Clone(weekdays), "every day"))
		}
	}
	return ""
}

// daysOf reads a key of a week; nil for one that is none.
func daysOf(name string) []time.Weekday {
	if name == "every day" {
		name = "monday to sunday"
	}
	first, last, both := strings.Cut(name, " to ")
	if !both {
		last = first
	}
	from, to := slices.Index(weekdays, first), slices.Index(weekdays, last)
	if from < 0 || to < 0 {
		return nil
	}
	var out []time.Weekday
	for i := from; ; i = (i + 1) % 7 {
		out = append(out, time.Weekday((i+1)%7))
		if i == to {
			return out
		}
	}
}

// JSONSchema describes both forms.
func (Week) JSONSchema() map[string]any {
	hours := Hours{}.JSONSchema()
	one := "(" + strings.Join(weekdays, "|") + ")"
	days := map[string]any{"type": "object", "additionalProperties": false,
		"patternProperties": map[string]any{"^(every day|" + one + "( to " + one + ")?)$": hours}}
	return map[string]any{"anyOf": []any{days, hours}}
}
