package light

import (
	"fmt"
	"math"
	"slices"
)

// Law is the share of light that a dimmer gives for the share of its travel.
type Law string

// The laws. None of them but linear and square has a standard formula: SCurve
// is 3u²-2u³ by convention; measure and use Measured where it matters.
const (
	Linear   Law = "linear"
	Square   Law = "square"
	SCurve   Law = "s"
	Measured Law = "table"
)

// Curve is what a slot does to the light of an emitter. Slots 0 to Dark give
// none; from Full on (0: Max) it gives all; between them Law holds. Max is 255
// when zero, 65535 for a coarse and fine pair of slots.
type Curve struct {
	Law             Law // "" is Linear
	Dark, Full, Max uint16
	Knots           []Knot // for Measured
}

// Knot is a row of a measured dimmer curve: both are shares, 0 to 1. Between
// knots the curve is straight; travel counts from Dark to Full.
type Knot struct{ Travel, Light float64 }

// Check reports what no dimmer can do: limits out of order, or a table that
// does not run from travel 0 to 1 with light that never falls.
func (c *Curve) Check() error {
	full, last := c.ends()
	if c.Dark >= full || full > last {
		return fmt.Errorf("dimmer curve: dark to %d, full from %d of %d: want them in that order", c.Dark, full, last)
	}
	switch c.Law {
	case "", Linear, Square, SCurve:
		return nil
	case Measured:
		return checkKnots(c.Knots)
	}
	return fmt.Errorf("dimmer curve %q: use linear, square, s or table", c.Law)
}

// checkKnots wants a table that can be read both ways: travel rises strictly, or one travel
// would have two lights; light may stay level, as at the foot of many dimmers.
func checkKnots(knots []Knot) error {
	if len(knots) < 2 || knots[0].Travel != 0 || knots[len(knots)-1].Travel != 1 {
		return fmt.Errorf("dimmer table: want at least two rows, from travel 0 to travel 1")
	}
	for i, k := range knots {
		if !(k.Light >= 0 && k.Light <= 1) || !(k.Travel >= 0 && k.Travel <= 1) {
			return fmt.Errorf("dimmer table, row %d (%v, %v): want shares from 0 to 1", i+1, k.Travel, k.Light)
		}
		if i > 0 && (k.Travel <= knots[i-1].Travel || k.Light < knots[i-1].Light) {
			return fmt.Errorf("dimmer table, row %d: travel must rise and light must not fall", i+1)
		}
	}
	return nil
}

// ends are Full and Max with what their zeros stand for.
func (c *Curve) ends() (full, last uint16) {
	full, last = c.Full, c.Max
	if last == 0 {
		last = 255
	}
	if full == 0 {
		full = last
	}
	return full, last
}

// Wide returns the curve of the same dimmer driven by a coarse and a fine
// slot, where c is that of its coarse slot alone.
func (c Curve) Wide() Curve {
	full, last := c.ends()
	step := uint16(65535 / uint32(last))
	c.Dark, c.Full, c.Max = c.Dark*step, full*step, last*step
	return c
}

// Level returns the share of full light, 0 to 1, at a slot value.
func (c *Curve) Level(slot uint16) float64 {
	full, _ := c.ends()
	switch {
	case slot <= c.Dark:
		return 0
	case slot >= full:
		return 1
	}
	return c.forward(float64(slot-c.Dark) / float64(full-c.Dark))
}

// Slot returns the slot value whose light is nearest to level, the lower of
// two equally near. Levels outside 0 to 1 are clamped; NaN is dark.
func (c *Curve) Slot(level float64) uint16 {
	below, above, share := c.Between(level)
	if below == above {
		return below
	}
	if share > .5 {
		return above
	}
	return below
}

// Between returns the two neighbouring slot values around level, and how far,
// in light, level lies from the first to the second (0 to 1). They are equal
// when level is exact or at an end.
func (c *Curve) Between(level float64) (below, above uint16, share float64) {
	full, _ := c.ends()
	switch {
	case !(level > 0):
		return 0, 0, 0
	case level >= 1:
		return full, full, 0
	}
	travel := c.inverse(level) * float64(full-c.Dark)
	below = c.Dark + uint16(min(travel, float64(full-c.Dark-1)))
	// The inverse is exact only to rounding: step until the two hold level.
	for below > c.Dark && c.Level(below) > level {
		below--
	}
	for below+1 < full && c.Level(below+1) <= level {
		below++
	}
	low, high := c.Level(below), c.Level(below+1)
	if level <= low {
		return below, below, 0
	}
	return below, below + 1, (level - low) / (high - low)
}

// forward is the law: light for a share of the travel, both 0 to 1.
func (c *Curve) forward(u float64) float64 {
	switch c.Law {
	case Square:
		return u * u
	case SCurve:
		return u * u * (3 - 2*u)
	case Measured:
		i := c.segment(u, func(k Knot) float64 { return k.Travel })
		a, b := c.Knots[i-1], c.Knots[i]
		return a.Light + (u-a.Travel)/(b.Travel-a.Travel)*(b.Light-a.Light)
	}
	return u
}

// inverse is a share of the travel that gives a light. For 3u²-2u³ it is the middle root of
// a cubic, by the sine of a third of an angle. Of a level stretch of a table it is the
// beginning; Between goes on from there.
func (c *Curve) inverse(y float64) float64 {
	switch c.Law {
	case Square:
		return math.Sqrt(y)
	case SCurve:
		return .5 - math.Sin(math.Asin(1-2*y)/3)
	case Measured:
		if y <= c.Knots[0].Light {
			return 0
		}
		i := c.segment(y, func(k Knot) float64 { return k.Light })
		a, b := c.Knots[i-1], c.Knots[i]
		if b.Light == a.Light {
			return b.Travel
		}
		return min(1, a.Travel+(y-a.Light)/(b.Light-a.Light)*(b.Travel-a.Travel))
	}
	return y
}

// segment returns the index, at least 1, of the first knot that is not below v.
func (c *Curve) segment(v float64, of func(Knot) float64) int {
	i, _ := slices.BinarySearchFunc(c.Knots, v, func(k Knot, v float64) int {
		if of(k) < v {
			return -1
		}
		return 1
	})
	return min(max(i, 1), len(c.Knots)-1)
}
