package flash

import (
	"testing"
	"time"
)

// The longest run of flashing: events no more than half a second apart, and
// units that flash by themselves faster than that.
func TestLongestRun(t *testing.T) {
	at := func(ms ...int) []Event {
		var out []Event
		for _, m := range ms {
			out = append(out, Event{At: time.Duration(m) * time.Millisecond})
		}
		return out
	}
	s := time.Second
	for _, c := range []struct {
		name     string
		events   []Event
		trains   []Train
		from, to time.Duration
	}{
		{"nothing", nil, nil, 0, 0},
		{"one", at(1000), nil, 0, 0},
		{"two near", at(1000, 1400), nil, s, 1400 * time.Millisecond},
		{"two apart", at(1000, 1501), nil, 0, 0},
		{"the longer of two runs", at(0, 400, 5000, 5500, 5900), nil, 5 * s, 5900 * time.Millisecond},
		{"a train joins them", at(900, 3400), []Train{{From: s, To: 3 * s, Rate: 5}}, 900 * time.Millisecond, 3400 * time.Millisecond},
		{"a slow train is none", at(900), []Train{{From: s, To: 9 * s, Rate: 1.9}}, 0, 0},
		{"a train alone, at 2 Hz", nil, []Train{{From: s, To: 9 * s, Rate: 2}}, s, 9 * s},
	} {
		if from, to := Longest(c.events, c.trains, 500*time.Millisecond); from != c.from || to != c.to {
			t.Errorf("%s: %v to %v, want %v to %v", c.name, from, to, c.from, c.to)
		}
	}
}
