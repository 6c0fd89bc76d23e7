package light

import "math"

// Stagger returns the slot value for one emitter of one unit of a group that
// shines on the same place, so that a slow fade of the group has as many steps
// as all of them together.
//
// Between two slot values each unit changes at its own point, spread evenly
// over the interval: with n units a step of the whole is 1/n of a slot's step.
// The answer depends on unit, emitter and level alone, so any moment can be
// computed by itself, and a level that stands still gives slots that stand
// still: nothing is toggled in time, which on an 8-bit dimmer would be flicker
// at half the frame rate. Time enters by the level alone, and the emitters of
// one unit change at different times too.
//
// Unit counts from 0 within the group, emitter within the unit.
func (c *Curve) Stagger(level float64, unit, emitter int) uint16 {
	below, above, share := c.Between(level)
	if below == above {
		return below
	}
	if share > StaggerAt(unit, emitter) {
		return above
	}
	return below
}

// StaggerAt is how far, in light, from a slot value to the next the level must
// have come for this emitter of this unit to take the next.
func StaggerAt(unit, emitter int) float64 { return threshold(unit + 3*emitter) }

// threshold is the i-th term of van der Corput's sequence in base 2, from 1/2
// on: any n terms in a row are spread evenly over 0 to 1, and a unit alone
// takes the nearer slot.
func threshold(i int) float64 {
	// The digits of i in base 2, mirrored about the point, and a half more.
	bits, size, value := uint32(i), .5, .5
	for range 16 {
		if bits&1 == 1 {
			value += size
		}
		bits >>= 1
		size /= 2
	}
	return value - math.Floor(value)
}
