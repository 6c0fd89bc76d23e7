package chase_test

import (
	"fmt"
	"time"

	"lampblack/play/chase"
)

// A show that begins when the timecode shows ten o'clock gets marks every 10 ms
// for a second, and then none.
func ExampleFollower() {
	f := chase.NewFollower("timecode from tape", 10*time.Hour, chase.Loss{})
	zero := time.Unix(1000, 0)
	for i := range 100 {
		d := time.Duration(i) * 10 * time.Millisecond
		f.Mark(zero.Add(d), 10*time.Hour+d)
	}
	for _, ms := range []time.Duration{1000, 1500, 12990} {
		r := f.Read(zero.Add(ms * time.Millisecond))
		fmt.Printf("%v at %v %q\n", r.State, r.Position, r.Fault.Text)
	}
	// Output:
	// runs at 1s ""
	// freewheels at 1.5s "no timecode from tape for 0.51 s; the show goes on by itself for 2 s"
	// lost at 2.99s "no timecode from tape for 12 s; the light stands"
}

// A piece of 120 beats a minute is played a little slower.
func ExampleNewBeat() {
	beats := []time.Duration{0, 500 * time.Millisecond, time.Second, 1500 * time.Millisecond, 2 * time.Second}
	b := chase.NewBeat(beats)
	now := time.Unix(1000, 0)
	fmt.Println(b.Read(now).Fault.Text)
	for range 3 {
		b.Tap(now)
		now = now.Add(550 * time.Millisecond)
	}
	r := b.Read(now.Add(-10 * time.Millisecond))
	fmt.Printf("%v at %.1f of the speed\n", r.State, r.Speed)
	fmt.Println(b.Read(now.Add(4 * time.Second)).Fault.Text)
	// Output:
	// waits for the first tap
	// runs at 0.9 of the speed
	// no tap for 4.5 s; the light waits
}
