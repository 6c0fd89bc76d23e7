package show

import (
	"time"

	"lampblack/si"
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
	for _, k := range []struct {
		key, usual, what string
		time             *time.Duration
	}{
		{"light stands", "1 s", "how long lamps keep their last light when the program has failed, before the lights come up", &s.Stands},
		{"ultraviolet stands", "3 s", "how long ultraviolet lamps stay on when the program has failed", &s.Ultraviolet},
	} {
		if d := k.time; *d != 0 && (*d < shortestStand || *d > longestStand) {
			faults.Add(s.Pos, k.key+": "+k.usual, "%s is %s: %s lies outside %s to %s", k.key, k.what, si.Say(d.Seconds(), "s"), si.Say(shortestStand.Seconds(), "s"), si.Say(longestStand.Seconds(), "s"))
			*d = 0
		}
	}
}
