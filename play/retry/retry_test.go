package retry

import (
	"fmt"
	"testing"
	"time"
)

// The waits double from a quarter of a second to four, and begin anew.
func TestTimes(t *testing.T) {
	var times Times
	now := time.Unix(1000, 0)
	if w := times.Wait(now); w > 0 {
		t.Errorf("a device that was never lost waits %v", w)
	}
	for range 2 {
		times.Lost(now)
		for _, want := range []time.Duration{250, 500, 1000, 2000, 4000, 4000} {
			want *= time.Millisecond
			if w := times.Wait(now); w != want {
				t.Errorf("wait %v, want %v", w, want)
			}
			now = now.Add(want)
			if w := times.Wait(now); w != 0 {
				t.Errorf("when the attempt is due it waits %v more", w)
			}
			times.Tried(now)
		}
	}
}

func ExampleTimes() {
	var times Times
	now := time.Now()
	times.Lost(now)
	for range 3 {
		wait := times.Wait(now)
		fmt.Println("look again after", wait)
		now = now.Add(wait)
		times.Tried(now) // it was not there
	}
	// Output:
	// look again after 250ms
	// look again after 500ms
	// look again after 1s
}
