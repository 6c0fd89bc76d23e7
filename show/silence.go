package show

import (
	"time"

	"lampblack/source"
)

// Silence says what the lamps show while the program that computes their light has failed and is
// started again. The zero value is what a run does that says nothing.
type Silence struct {
	source.Pos
	Stands      time.Duration `key:"light stands"`       // then the lights come up
	Ultraviolet time.Duration `key:"ultraviolet stands"` // in it
}

// What stands stands for as long as a person would take to see that nothing moves, and no longer
// than a room may be left to itself. Common practice, no source.
const (
	shortestStand = 200 * time.Millisecond
	longestStand  = 5 * time.Minute
)

// check finds what is wrong with it.
func (s *Silence) check(faults *source.Faults) {
	for _, d := range []*time.Duration{&s.Stands, &s.Ultraviolet} {
		if *d != 0 && (*d < shortestStand || *d > longestStand) {
			faults.Add(s.Pos, "light stands: 1 s", "light that stands for %v while nothing computes it lies outside %v to %v", *d, shortestStand, longestStand)
			*d = 0
		}
	}
}
