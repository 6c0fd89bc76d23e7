package trigger_test

import (
	"context"
	"fmt"
	"time"

	"lampblack/play/line"
	"lampblack/play/trigger"
)

// A button of the page and a contact, which is not there yet. The page presses its
// button by name.
func ExampleOpen() {
	button, _ := line.ParseTrigger("page")
	contact, _ := line.ParseTrigger("pins /dev/nothere carrier")
	s, err := trigger.Open(context.Background(), trigger.List{Triggers: []trigger.Trigger{
		{Name: "start", From: button, Rules: trigger.Rules{Rearm: 5 * time.Second}},
		{Name: "door", From: contact, Rules: trigger.Rules{Debounce: 20 * time.Millisecond, Dwell: 300 * time.Millisecond}},
	}}, trigger.Options{})
	if err != nil {
		fmt.Println(err)
		return
	}
	s.Press("start")
	fmt.Println(<-s.Fired())
	_ = s.Close()
}

// Rules are a pure function: a contact that bounces for 3 ms and is closed for half a
// second fires once.
func ExampleRules() {
	r := trigger.Rules{Debounce: 20 * time.Millisecond, Dwell: 300 * time.Millisecond}
	begin := time.Date(2026, 3, 14, 19, 30, 0, 0, time.UTC)
	var s trigger.State
	var out []trigger.Outcome
	for _, e := range []struct {
		ms     int
		change trigger.Change
	}{{0, trigger.Opens}, {1000, trigger.Closes}, {1001, trigger.Opens}, {1003, trigger.Closes}, {1500, trigger.Opens}} {
		var more []trigger.Outcome
		s, more = r.After(s, trigger.Edge{Time: begin.Add(time.Duration(e.ms) * time.Millisecond), Change: e.change})
		out = append(out, more...)
	}
	for _, o := range out {
		fmt.Println(o, "at", o.Time.Sub(begin), "as it closed at", o.Since.Sub(begin))
	}
	// Output: fires at 1.323s as it closed at 1.003s
}
