package play

import "time"

// Clock says where the show is. It is used by Run's loop alone.
type Clock interface {
	// Position is the time on the show's line that is heard or meant now.
	Position() time.Duration
	// Run starts the clock at a position; Hold stops it where it is.
	Run(from time.Duration)
	Hold()
	// Name says what the clock is, for the status line.
	Name() string
	Close() error
}

// WallClock is the computer's own clock. The zero value is held at zero.
type WallClock struct {
	started time.Time
	from    time.Duration
	running bool
}

// Position is the time since Run, on from where Run began.
func (c *WallClock) Position() time.Duration {
	if !c.running {
		return c.from
	}
	return c.from + time.Since(c.started)
}

// Run starts the clock at a position.
func (c *WallClock) Run(from time.Duration) {
	c.started, c.from, c.running = time.Now(), from, true
}

// Hold stops the clock where it is.
func (c *WallClock) Hold() { c.from, c.running = c.Position(), false }

// Name returns "wall clock".
func (c *WallClock) Name() string { return "wall clock" }

// Close does nothing.
func (c *WallClock) Close() error { return nil }
