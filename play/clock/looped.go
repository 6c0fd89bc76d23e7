package clock

import "time"

// Looped is the computer's own clock on a track with loops that nobody hears. It keeps
// nothing ahead: what is released is left at the end of the pass that it is in.
type Looped struct {
	Wall
	line Unrolled
}

// NewLooped returns a clock that is held at zero.
func NewLooped(loops []Loop) (*Looped, error) {
	line, err := Unroll(loops)
	if err != nil {
		return nil, err
	}
	return &Looped{line: line}, nil
}

// Release has the loop that repeats left at the end of this pass.
func (c *Looped) Release(now time.Time) (passes int) {
	at := c.Read(now).Position
	return c.line.Release(at, at)
}

// RunAfter runs from a place on the unrolled line after so many passes.
func (c *Looped) RunAfter(now time.Time, from time.Duration, passes []int) {
	c.line.SetPasses(passes)
	c.Run(now, from)
}

// Own is the computer's own clock on a track with loops, or with none; with loops that
// CheckLoops refuses, on one without.
func Own(loops []Loop) Clock {
	if c, err := NewLooped(loops); err == nil && len(loops) > 0 {
		return c
	}
	return &Wall{}
}
