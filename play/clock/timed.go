package clock

import (
	"fmt"
	"time"
)

// Timed makes a clock of one's own begin by itself at an instant: a show at
// eight in the evening. Until then it stands where it was told to run from, and
// says that it waits. A person comes first: Begin begins sooner, and Hold ends
// the waiting, so that nothing begins by itself once a hand has stopped it.
//
//	Run ─▶ waits ──── the instant comes, or Begin ──▶ the clock inside runs
//	         └──── Hold ──▶ held; goes on by Run alone
//
// A computer that slept through the instant begins as soon as it wakes.
type Timed struct {
	Clock // what it is once it has begun

	at     time.Time
	from   time.Duration
	passes []int // of the loops inside, nil as they stand
	waits  bool
	told   bool // to run, once
}

// NewTimed makes c wait until at. What follows somebody else (timecode, a beat)
// begins when they do, and takes no such wait.
func NewTimed(c Clock, at time.Time) *Timed { return &Timed{Clock: c, at: at, waits: true} }

// Run sets where the show will begin, or goes on when it has begun.
func (c *Timed) Run(now time.Time, from time.Duration) {
	if c.from = from; !c.waits {
		c.Clock.Run(now, from)
	}
	c.told = true
}

// RunAfter is Run for a clock inside that has loops; for another it is Run.
func (c *Timed) RunAfter(now time.Time, from time.Duration, passes []int) {
	c.from, c.passes = from, append([]int{}, passes...)
	if !c.waits {
		c.runInside(now)
	}
	c.told = true
}

// runInside has the clock inside run from where it was told.
func (c *Timed) runInside(now time.Time) {
	if l, ok := c.Clock.(Looping); ok && c.passes != nil {
		l.RunAfter(now, c.from, c.passes)
		return
	}
	c.Clock.Run(now, c.from)
}

// Release has a loop of the clock inside left. It returns 0 while that has not begun, and
// for a clock without loops.
func (c *Timed) Release(now time.Time) (passes int) {
	if l, ok := c.Clock.(Looping); ok && !c.waits {
		return l.Release(now)
	}
	return 0
}

// Begin begins at once, and tells whether it had still to.
func (c *Timed) Begin(now time.Time) bool {
	begins := c.waits && c.told
	if begins {
		c.waits = false
		c.runInside(now)
	}
	return begins
}

// Hold stops the clock, and ends the waiting.
func (c *Timed) Hold(now time.Time) {
	if c.waits {
		c.waits = false
		c.runInside(now)
	}
	c.Clock.Hold(now)
}

// Read returns where the show is.
func (c *Timed) Read(now time.Time) Reading {
	if c.waits && c.told && !now.Before(c.at) {
		c.Begin(now)
	}
	if c.waits {
		return Reading{Position: c.from, Fault: Fault{
			Text: fmt.Sprintf("begins by itself at %s, in %s", c.at.Format("15:04:05"), remains(c.at.Sub(now))),
			Hint: "press go to begin sooner; after a hold nothing begins by itself",
		}}
	}
	return c.Clock.Read(now)
}

// remains says how long it is, as people say it.
func remains(d time.Duration) string {
	h, min, s := int(d.Hours()), int(d.Minutes())%60, int(d.Seconds())%60
	switch {
	case h > 0:
		return fmt.Sprintf("%d h %d min", h, min)
	case min > 0:
		return fmt.Sprintf("%d min %d s", min, s)
	}
	return fmt.Sprintf("%d s", s)
}

// Next returns the next instant at which clocks on the wall show a time of day,
// in now's place: where they show it twice the first time, and in a night in which they are
// put forward past it the instant at which they are.
func Next(now time.Time, hour, minute, second int) time.Time {
	on := func(days int) time.Time {
		y, m, d := now.Date()
		return Met(now.Location(), time.Date(y, m, d+days, hour, minute, second, 0, time.UTC))
	}
	if today := on(0); !today.Before(now) {
		return today
	}
	return on(1)
}

// At is Next for a time of day since midnight.
func At(now time.Time, day time.Duration) time.Time {
	return Next(now, int(day/time.Hour), int(day/time.Minute)%60, int(day/time.Second)%60)
}
