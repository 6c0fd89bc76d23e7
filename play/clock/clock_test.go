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
