package trigger

import (
	"fmt"
	"testing"
	"time"
)

// BenchmarkLook is what one edge costs among two hundred triggers.
func BenchmarkLook(b *testing.B) {
	l := List{}
	for i := range 200 {
		l.Triggers = append(l.Triggers, Trigger{Name: fmt.Sprint(i), Rules: Rules{Debounce: time.Millisecond}})
	}
	s := &Set{list: l, heard: func(Heard) {}, in: newInbox(200), fired: make(chan Fired, firedSize), states: make([]State, 200), places: make([]place, 200)}
	now := time.Now()
	for i := 0; b.Loop(); i++ {
		s.in.put(7, Edge{now.Add(time.Duration(i) * time.Millisecond), []Change{Closes, Opens}[i%2]})
		s.look()
		s.wait(now)
	}
}

// BenchmarkRules is what one edge costs.
func BenchmarkRules(b *testing.B) {
	r, s, now := Rules{Debounce: time.Millisecond, Dwell: 5 * time.Millisecond}, State{}, time.Unix(1000, 0)
	for i := 0; b.Loop(); i++ {
		s, _ = r.After(s, Edge{now.Add(time.Duration(i) * time.Millisecond), []Change{Closes, Opens}[i%2]})
	}
}
