package rig

import (
	"sort"

	"lampblack/light"
)

// slotCode writes one amount of light, in 8 or 16 bits.
type slotCode struct {
	coarse, fine int         // from 0 within the mode; fine is -1 without
	curve        light.Curve // of 16 bits
	steps        []step      // of 8 bits: what it can give, ascending
	first        [257]uint8  // by 256ths of light: the last step that is not above
	point        float32     // where between two steps this unit changes in a fade
	halves       bool        // it may take half steps: it has 8 bits, and nothing that flashes
}

// step is a slot value that may be used, and its light. Values in ranges to
// keep out of are none, and of those that give the same light the lowest is.
type step struct {
	slot  byte
	light float32
}

// code makes a slot ready; turn counts the units of one type, which change at different
// points. Where a slot dims in a part of its travel only, the steps are those of that
// part. Curves rise, so a value that gives no more light than the one before it is left
// out: dead bands at either end become one step.
func (s *Slot) code(turn int) slotCode {
	c := slotCode{coarse: s.Coarse - 1, fine: s.Fine - 1, curve: s.Curve.Light(), point: float32(light.StaggerAt(turn, s.Coarse-1))}
	if s.Fine > 0 {
		c.curve = c.curve.Wide()
		return c
	}
	c.halves = s.find(Flash, FlashRandom) == nil
	from, to, up := 0, 255, 1
	if l := s.find(Level, LevelDown); l != nil {
		from, to = l.From, l.To
		c.curve.Max = uint16(l.To - l.From)
		c.curve.Full = min(c.curve.Full, c.curve.Max)
		if l.Does == LevelDown {
			from, to, up = l.To, l.From, -1
		}
	}
	for v := from; v != to+up; v += up {
		if s.shut(v) {
			continue
		}
		l := float32(c.curve.Level(uint16(up * (v - from))))
		if n := len(c.steps); n == 0 || l > c.steps[n-1].light {
			c.steps = append(c.steps, step{byte(v), l})
		}
	}
	if len(c.steps) == 0 { // nothing may be used: at least dark, where that is known
		c.steps = []step{{}}
		if r := s.find(Closed); r != nil {
			c.steps[0].slot = byte(r.From)
		}
	}
	for k := range c.first {
		i := sort.Search(len(c.steps), func(i int) bool { return c.steps[i].light > float32(k)/256 })
		c.first[k] = uint8(max(i-1, 0))
	}
	return c
}

// shut tells whether a value lies in a range that levels keep out of.
func (s *Slot) shut(v int) bool {
	r := s.At(v)
	return r != nil && (r.Does == Never || r.Does == Flash || r.Does == FlashRandom || r.Does == Closed)
}

// below returns the last step that is not above a level.
func (c *slotCode) below(level float32) int {
	i := int(c.first[int(min(max(level, 0), 1)*256)])
	for i+1 < len(c.steps) && c.steps[i+1].light <= level {
		i++
	}
	return i
}

// nearest returns the step nearest to a level, the lower of two.
func (c *slotCode) nearest(level float32) int { return c.passed(level, .5) }

// gap is the share of full light from which two steps lie apart for more than
// their fineness: a range to keep out of lies between them. Turns at rounding
// would put light off by nearly all of it, so it is crossed in its middle.
const gap = .05

// passed returns the step below a level, or the one above it once the level
// has passed a point, 0 to 1, of the way.
func (c *slotCode) passed(level, point float32) int {
	i := c.below(level)
	if i+1 < len(c.steps) {
		a, b := c.steps[i].light, c.steps[i+1].light
		if b-a > gap {
			point = .5
		}
		if level-a > point*(b-a) {
			return i + 1
		}
	}
	return i
}

// faint is how much brighter a step is at most than the one below it where a slot changes
// between the two from frame to frame. At half the frame rate, 22 Hz, light that goes up and
// down by a fortieth has a fundamental of 0.8 %; the eye needs some 1 to 2 % there (H. de
// Lange, J. Opt. Soc. Am. 48, 777 (1958), from memory). In darker light the step is taken at
// once, and stays.
const faint = 1. / 40

// half returns the step for a level to a half of one, as a mean over two frames: of two
// neighbours, late and not, it may take the upper one in one frame and the lower in the other.
func (c *slotCode) half(level float32, late bool) int {
	i := c.below(level)
	if i+1 == len(c.steps) {
		return i
	}
	a, b := c.steps[i], c.steps[i+1]
	if b.slot-a.slot != 1 && a.slot-b.slot != 1 || b.light-a.light > faint*a.light {
		return c.passed(level, c.point)
	}
	switch share := (level - a.light) / (b.light - a.light); {
	case share < .25 || share < .75 && !late:
		return i
	}
	return i + 1
}

// put writes a level by itself, as near as it gets, and returns its light.
func (c *slotCode) put(slots []byte, level float32) float32 {
	if c.fine >= 0 {
		v := c.curve.Slot(float64(level))
		slots[c.coarse], slots[c.fine] = byte(v>>8), byte(v)
		return float32(c.curve.Level(v))
	}
	s := c.steps[c.nearest(level)]
	slots[c.coarse] = s.slot
	return s.light
}
