package clock

import "time"

// Heard is a clock that is a sound, whose loudness a hand may change while it runs.
type Heard interface {
	Clock
	// HoldOver keeps the position where it is, as Hold does, while the sound fades out over
	// a time. What fades is past the position: Run from there is heard again.
	HoldOver(now time.Time, over time.Duration)
	// Lower takes the loudness over a time to a share of the amplitude that it has by
	// itself: 1 is as it was, 0 is off. The position goes on.
	Lower(amplitude float64, over time.Duration)
}

// HoldOver holds the clock inside, and has its sound fade if it is one. While it waits nothing
// is heard.
func (c *Timed) HoldOver(now time.Time, over time.Duration) {
	if h, ok := c.Clock.(Heard); ok && !c.waits {
		h.HoldOver(now, over)
		return
	}
	c.Hold(now)
}

// Lower lowers the clock inside, if it is a sound.
func (c *Timed) Lower(amplitude float64, over time.Duration) {
	if h, ok := c.Clock.(Heard); ok {
		h.Lower(amplitude, over)
	}
}
