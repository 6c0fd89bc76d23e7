package clock_test

import (
	"fmt"
	"testing"
	"time"

	"lampblack/play/clock"
	"lampblack/play/clock/clocktest"
)

func TestWall(t *testing.T) {
	clocktest.Check(t, func(t *testing.T) clocktest.Machine { return clocktest.Machine{Clock: &clock.Wall{}} })
}

// Corrections are waited out, jumps are not.
func TestForward(t *testing.T) {
	var f clock.Forward
	for _, c := range []struct{ p, want time.Duration }{{10, 10}, {9, 10}, {7, 10}, {11, 11}, {5, 5}, {6, 6}} {
		if got := f.Keep(c.p, 3); got != c.want {
			t.Errorf("%d: %d, want %d", c.p, got, c.want)
		}
	}
	f.Jump()
	if got := f.Keep(4, 3); got != 4 {
		t.Errorf("after a jump to 4: %d", got)
	}
}

func ExampleClock() {
	var c clock.Clock = &clock.Wall{}
	now := time.Unix(1000, 0)
	c.Run(now, 12*time.Second)
	r := c.Read(now.Add(3 * time.Second))
	fmt.Println(c.Name(), r.State, "at", r.Position, "speed", r.Speed)
	c.Hold(now.Add(4 * time.Second))
	r = c.Read(now.Add(time.Hour))
	fmt.Println(c.Name(), r.State, "at", r.Position, "speed", r.Speed)
	// Output:
	// the computer's clock runs at 15s speed 1
	// the computer's clock held at 16s speed 0
}

// Until its time a clock stands and says so; then it is what it was made of.
func TestTimed(t *testing.T) {
	eight := time.Date(2026, 3, 14, 20, 0, 0, 0, time.UTC)
	begin := func() (*clock.Timed, time.Time) {
		c := clock.NewTimed(&clock.Wall{}, eight)
		now := eight.Add(-5 * time.Minute)
		c.Run(now, 3*time.Second)
		return c, now
	}
	read := func(c *clock.Timed, at time.Time, state clock.State, position time.Duration) {
		t.Helper()
		if r := c.Read(at); r.State != state || r.Position != position {
			t.Errorf("at %v: %v at %v, want %v at %v", at.Format("15:04:05"), r.State, r.Position, state, position)
		}
	}

	c, now := begin()
	if r := c.Read(now); r.Fault.Text != "begins by itself at 20:00:00, in 5 min 0 s" {
		t.Errorf("it says %q", r.Fault.Text)
	}
	read(c, eight.Add(-time.Millisecond), clock.Held, 3*time.Second)
	read(c, eight, clock.Runs, 3*time.Second)
	read(c, eight.Add(time.Minute), clock.Runs, 63*time.Second)
	if c.Begin(eight.Add(time.Minute)) {
		t.Error("it began twice")
	}

	c, now = begin() // a hand begins sooner
	if !c.Begin(now) {
		t.Error("it does not begin sooner")
	}
	read(c, eight, clock.Runs, 303*time.Second)

	c, now = begin() // a hand stops it: nothing begins by itself
	c.Hold(now)
	read(c, eight.Add(time.Hour), clock.Held, 3*time.Second)
	c.Run(eight.Add(time.Hour), 3*time.Second)
	read(c, eight.Add(time.Hour+time.Second), clock.Runs, 4*time.Second)

	c, now = begin() // another beginning
	c.Run(now, 9*time.Second)
	read(c, eight, clock.Runs, 9*time.Second)
}

// A clock that has waited, or never had to, is a clock like any other.
func TestTimedIsAClock(t *testing.T) {
	clocktest.Check(t, func(t *testing.T) clocktest.Machine {
		return clocktest.Machine{Clock: clock.NewTimed(&clock.Wall{}, time.Now())}
	})
}

// The rules of summer time are those of the European Union since 1996
// (Directive 2000/84/EC): clocks go from 2:00 to 3:00 on the last Sunday of
// March, and back on the last of October.
func TestNext(t *testing.T) {
	place, err := time.LoadLocation("Europe/Brussels")
	if err != nil {
		t.Skip("no table of time zones:", err)
	}
	for _, c := range []struct {
		now     time.Time
		h, m, s int
		want    string
	}{
		{time.Date(2026, 6, 1, 19, 0, 0, 0, place), 20, 0, 0, "2026-06-01T20:00:00+02:00"},
		{time.Date(2026, 6, 1, 20, 0, 0, 0, place), 20, 0, 0, "2026-06-01T20:00:00+02:00"},
		{time.Date(2026, 6, 1, 20, 0, 1, 0, place), 20, 0, 0, "2026-06-02T20:00:00+02:00"},
		{time.Date(2026, 12, 31, 23, 0, 0, 0, place), 0, 0, 30, "2027-01-01T00:00:30+01:00"},
		{time.Date(2026, 3, 28, 20, 0, 0, 0, place), 10, 0, 0, "2026-03-29T10:00:00+02:00"},
		{time.Date(2026, 10, 24, 20, 0, 0, 0, place), 10, 0, 0, "2026-10-25T10:00:00+01:00"},
	} {
		if got := clock.Next(c.now, c.h, c.m, c.s).Format(time.RFC3339); got != c.want {
			t.Errorf("%d:%02d after %v is %s, want %s", c.h, c.m, c.now, got, c.want)
		}
	}
	gap := time.Date(2026, 3, 29, 1, 0, 0, 0, place)
	if wait := clock.Next(gap, 2, 30, 0).Sub(gap); wait < 30*time.Minute || wait > 90*time.Minute {
		t.Errorf("2:30, which is left out, comes after %v", wait)
	}
}
