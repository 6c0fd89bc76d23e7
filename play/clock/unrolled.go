package clock

import (
	"math"
	"slices"
	"time"
)

// Unrolled is a track with loops as one line without any. With the length P = To − From of
// a loop that has n passes, what comes behind it lies (n − 1)·P further on the line:
//
//	track     0 ──── From ══ P ══ To ──────────▶
//	unrolled  0 ──── From ══ P ══╪══ P ══╪══ P ══ From + nP ──────────▶
//
// It is arithmetic alone; who holds one guards it. The zero value is a track without loops.
type Unrolled struct {
	loops  []Loop
	passes []int // of each loop, altogether; 0 while it repeats until it is released
}

// Unroll returns the line of a track with loops that CheckLoops has nothing against, all
// of which are still to be released.
func Unroll(loops []Loop) (Unrolled, error) {
	if err := CheckLoops(loops); err != nil {
		return Unrolled{}, err
	}
	return Unrolled{slices.Clone(loops), make([]int, len(loops))}, nil
}

// Loop returns the loop of an index that a Place holds.
func (u *Unrolled) Loop(i int) Loop { return u.loops[i] }

// Place is where an instant of the unrolled line is on the track.
type Place struct {
	Track time.Duration
	Loop  int // the index of the loop that it lies in, or -1
	Pass  int // of that loop, the first is 1
}

// Place returns where the track is at an instant of the line.
func (u *Unrolled) Place(at time.Duration) Place {
	var longer time.Duration // the line is, by the loops that were left
	for i, l := range u.loops {
		if at-longer < l.From {
			break
		}
		again := (at - longer - l.From) / (l.To - l.From)
		if n := u.passes[i]; n == 0 || int(again) < n {
			return Place{Track: at - longer - again*(l.To-l.From), Loop: i, Pass: int(again) + 1}
		}
		longer += u.longer(i)
	}
	return Place{Track: at - longer, Loop: -1}
}

// longer is by how much a loop that is left makes the line longer.
func (u *Unrolled) longer(i int) time.Duration {
	return time.Duration(u.passes[i]-1) * (u.loops[i].To - u.loops[i].From)
}

// Repeats tells whether a pass of a loop is followed by another.
func (u *Unrolled) Repeats(loop, pass int) bool {
	return u.passes[loop] == 0 || pass < u.passes[loop]
}

// Forever is the end of a line that has none yet.
const Forever = time.Duration(math.MaxInt64)

// End returns where the line of a track of a length ends: Forever while a loop in it
// still waits to be released.
func (u *Unrolled) End(length time.Duration) time.Duration {
	end := length
	for i, l := range u.loops {
		switch {
		case l.From >= length:
			return end
		case u.passes[i] == 0:
			return Forever
		}
		end += u.longer(i)
	}
	return end
}

// Release has the loop left that an instant of the line lies in, or the next one, and
// returns its passes as Looping's Release does. What lies before handed on the line is out
// of our hands; a pass whose end lies there is followed by another.
func (u *Unrolled) Release(at, handed time.Duration) (passes int) {
	var longer time.Duration
	for i, l := range u.loops {
		n := u.passes[i]
		length := l.To - l.From
		if n > 0 && at-longer >= l.From+time.Duration(n)*length {
			longer += u.longer(i)
			continue // it has been left
		}
		if n == 0 {
			u.passes[i] = int(max(handed-longer-l.From, at-longer-l.From, 0)/length) + 1
		}
		return u.passes[i]
	}
	return 0
}

// Passes returns the passes of each loop, 0 where it waits to be released.
func (u *Unrolled) Passes() []int { return slices.Clone(u.passes) }

// longest bounds what one loop may add to a line, whatever a damaged journal says of its
// passes: so the line of a hundred loops still fits a Duration.
const longest = 365 * 24 * time.Hour

// SetPasses says how many passes each loop has, as RunAfter does.
func (u *Unrolled) SetPasses(passes []int) {
	clear(u.passes)
	copy(u.passes, passes)
	for i, n := range u.passes {
		u.passes[i] = max(min(n, int(longest/(u.loops[i].To-u.loops[i].From))), 0)
	}
}

// Copy returns the line as it stands, which then goes its own way.
func (u *Unrolled) Copy() Unrolled { return Unrolled{u.loops, slices.Clone(u.passes)} }
