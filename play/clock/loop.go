package clock

import (
	"fmt"
	"time"
)

// Loop is a marked span of a track, From included and To not, that is heard again and
// again until it is released; then the track goes on past To.
type Loop struct{ From, To time.Duration }

// MinLoop is how long a loop is at least. What repeats faster than ten times a second is
// heard as a buzz, and its joins would leave little of it. This project's choice.
const MinLoop = 100 * time.Millisecond

// CheckLoops says what is wrong with the loops of a track: they stand in its order, do not
// overlap, and are MinLoop long or longer. They may touch.
func CheckLoops(loops []Loop) error {
	var end time.Duration
	for i, l := range loops {
		switch {
		case l.From < 0:
			return fmt.Errorf("loop %d begins at %v: before the track", i+1, l.From)
		case l.To-l.From < MinLoop:
			return fmt.Errorf("loop %d from %v to %v is shorter than %v", i+1, l.From, l.To, MinLoop)
		case l.From < end:
			return fmt.Errorf("loop %d begins at %v: before the one ahead of it ends, at %v", i+1, l.From, end)
		}
		end = l.To
	}
	return nil
}

// Looping is a clock whose track has loops. Its position is on the unrolled line, which
// never goes back as a loop repeats: with every pass it is one length of the loop further.
type Looping interface {
	Clock
	// Release has the loop that repeats now left at the end of a pass, or else the next
	// one that comes. It returns how many passes that loop then has altogether: what
	// has been handed to a device cannot be taken back, so it may be one more than the
	// one that is heard. Of a loop that was released before it returns the same again;
	// where no loop is left it returns 0.
	Release(now time.Time) (passes int)
	// RunAfter runs from a place on the unrolled line, where each loop has or will have
	// so many passes, in the order of the track; 0, or none, is one that repeats until it
	// is released. Run leaves the passes as they stand.
	RunAfter(now time.Time, from time.Duration, passes []int)
}
