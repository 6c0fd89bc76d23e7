package doors

import (
	"context"
	"strings"
	"testing"
	"time"
)

// An input of the alarm is good when it was set off and reset today, by itself; no word of a
// person makes it so, and one who lets it be so tonight may.
func TestAlarmIsTried(t *testing.T) {
	in := Alarm{Name: "stage door"}
	l := New(Setup{Alarms: func() []Alarm { return []Alarm{in} }})
	item := func() Item {
		t.Helper()
		for _, i := range l.Items() {
			if i.ID == "alarm stage door" {
				return i
			}
			if i.ID == "alarm" {
				t.Error("it asks for an alarm that is named")
			}
		}
		t.Fatal("there is no such item")
		return Item{}
	}
	want := func(s State, found string) {
		t.Helper()
		if i := item(); i.State != s || !strings.Contains(i.Found, found) {
			t.Errorf("it is %+v, want %s: %s", i, s, found)
		}
	}
	want(Open, "set it off now")
	if err := l.Tick("alarm stage door", Good, "looks fine"); err == nil {
		t.Error("it was good by a word")
	}
	want(Open, "set it off now")
	in.Stands, in.Says = true, true
	want(NotGood, "it says alarm now")
	in.Says = false
	want(NotGood, "an alarm stands")
	in.Stands, in.Tried = false, time.Date(2026, 3, 14, 19, 2, 0, 0, time.UTC)
	want(Good, "tried today at 19:02")
	l.Ask(context.Background())
	want(Good, "tried today at 19:02")
	in.Fault, in.Cure = "no such device", "plug it in"
	want(NotGood, "it cannot be heard: no such device")
	if err := l.Tick("alarm stage door", Left, "somebody stands at the switch"); err != nil {
		t.Error(err)
	}
	want(Left, "somebody stands at the switch")
	in.Fault = ""
	want(Good, "tried today")
}
