package lag

import "time"

// Came is what somebody saw and heard of a flash and a click.
type Came string

// What came first.
const (
	Light    Came = "light"
	Sound    Came = "sound"
	Together Came = "together"
)

// Eye finds how far sound is behind light without a camera: a person says which came first,
// and the flash is sent earlier or later until the two fall together. What looks together is
// some wide: both of its ends are looked for by halving, and the figure lies between them.
//
// It begins with the flash 0.3 s before the click, or behind it, as what nobody takes for
// together.
type Eye struct {
	sound, light float64 // s by which the flash is early, where sound, or light, came first
	from, to     float64 // where they came together
	together     bool
	answers      int
}

// Where the eye's search ends.
const (
	widestEye  = .3
	finest     = 12e-3
	leastEye   = 20 * time.Millisecond // no eye does better (ITU-R BT.1359-1 has 45 and 125 ms; from memory)
	mostAnswer = 24
)

// NewEye begins a search.
func NewEye() *Eye { return &Eye{sound: -widestEye, light: widestEye} }

// Early is by how many s the flash is to be sent before the click now.
func (e *Eye) Early() float64 {
	switch {
	case !e.together:
		return (e.sound + e.light) / 2
	case e.light-e.to > finest:
		return (e.light + e.to) / 2
	}
	return (e.sound + e.from) / 2
}

// Answer takes what came first, and tells whether it is known by now.
func (e *Eye) Answer(c Came) bool {
	early := e.Early()
	e.answers++
	switch c {
	case Sound:
		e.sound = early
	case Light:
		e.light = early
	case Together:
		if !e.together {
			e.from, e.to = early, early
		}
		e.from, e.to, e.together = min(e.from, early), max(e.to, early), true
	}
	return e.Done()
}

// Done tells whether the figure is known as well as it can be.
func (e *Eye) Done() bool {
	if e.answers >= mostAnswer {
		return true
	}
	if !e.together {
		return e.light-e.sound <= finest
	}
	return e.light-e.to <= finest && e.from-e.sound <= finest
}

// Behind is how far sound is behind light, without the delays of any phone.
func (e *Eye) Behind() Interval {
	best, half := seconds(-(e.light+e.sound)/2), seconds((e.light-e.sound)/2)
	half = max(half, leastEye)
	return Interval{best, best - half, best + half}
}
