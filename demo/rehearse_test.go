package demo

import (
	"os"
	"testing"
	"time"

	"lampblack/rehearse"
)

// Thirty days of the walk, with the night inside on which clocks jump, and with that on
// which they go back (Directive 2000/84/EC: the last Sundays of March and October). Its
// hours come to 9 openings and 87 h a week: every one is there, every person passes every
// beam, and whatever came to a trigger is accounted for.
func TestWalkForThirtyDays(t *testing.T) {
	s := solve(t, Walk)
	berlin, err := time.LoadLocation("Europe/Berlin")
	if err != nil {
		t.Skip("left out: this machine has no time zones")
	}
	perHour := 10.
	if os.Getenv("LAMPBLACK_LONG") != "" {
		perHour = 40
	}
	for _, c := range []struct {
		from   string
		opened int
		open   time.Duration
	}{
		{"2026-03-15", 4*9 + 3, (4*87 + 11 + 13) * time.Hour}, // four weeks, a Sunday and a Monday
		{"2026-10-10", 4*9 + 4, (4*87 + 22) * time.Hour},      // four weeks, a Saturday and a Sunday
	} {
		from, err := time.ParseInLocation(time.DateOnly, c.from, berlin)
		if err != nil {
			t.Fatal(err)
		}
		r, err := rehearse.Run(t.Context(), s.place, rehearse.Options{From: from, Days: 30, PerHour: perHour, Seed: 1, Hours: s.files.Calendar, Triggers: s.files.Triggers})
		if err != nil {
			t.Fatal(err)
		}
		if r.Opened != c.opened || r.Closed != c.opened || r.Open != c.open {
			t.Errorf("from %s it opened %d times, closed %d, and was open for %v; want %d and %v", c.from, r.Opened, r.Closed, r.Open, c.opened, c.open)
		}
		for _, b := range r.Trigger {
			if b.Came != r.People || b.Came != b.Short+b.Deaf+b.Taken+b.Missed+b.Asleep {
				t.Errorf("from %s: of %d people, to %s came %+v", c.from, r.People, b.Name, b)
			}
		}
		if len(r.Trigger) != len(s.files.Triggers.Triggers) {
			t.Errorf("from %s: %d triggers came, want %d", c.from, len(r.Trigger), len(s.files.Triggers.Triggers))
		}
		for _, z := range r.Zones {
			// One in ten does not wait for those before, and finds it running or armed.
			if longest := z.Waits[len(z.Waits)-1]; z.Groups != r.Groups || z.Unserved*8 > z.Groups || longest > 5*time.Minute {
				t.Errorf("from %s: %s: of %d groups %d came, it did not begin for %d, and the longest waited %v", c.from, z.Name, r.Groups, z.Groups, z.Unserved, longest)
			}
			for _, step := range z.Steps {
				if step.Times == 0 {
					t.Errorf("from %s: %s was never reached in %s", c.from, step.Name, z.Name)
				}
			}
		}
	}
}

// A month of evenings: the last go ends each, and none is longer than its order lets it be.
func TestEveningForThirtyNights(t *testing.T) {
	s := solve(t, Evening)
	r, err := rehearse.Run(t.Context(), s.show.Alone(s.evening), rehearse.Options{From: time.Date(2026, 3, 15, 0, 0, 0, 0, time.UTC), Days: 30, PerHour: 40, Seed: 1})
	if err != nil {
		t.Fatal(err)
	}
	if len(r.Nights) != 30 || r.People != 0 {
		t.Errorf("%d evenings, and %d people came past", len(r.Nights), r.People)
	}
	for i, night := range r.Nights {
		if night > s.evening.Length() {
			t.Errorf("evening %d took %v, and its order ends at %v", i+1, night, s.evening.Length())
		}
	}
	for _, step := range r.Zones[0].Steps {
		if step.Times != 30 {
			t.Errorf("%s was reached %d times", step.Name, step.Times)
		}
	}
}
