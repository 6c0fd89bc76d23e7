package show

import (
	"time"

	"lampblack/light"
	"lampblack/rig"
)

// slowFade is the shortest change whose steps are worth a look; in less, steps
// run together.
const slowFade = 2 * time.Second

// Steps reports the roughest fade of a cue: of all dimmers that move, the one
// with the most visible steps once it is cut into slot values, units of one
// type staggered. ok is false for changes too fast to show steps, and for
// cues that move nothing.
func (s *Show) Steps(cue int) (worst light.Steps, ok bool) {
	c := &s.Cues[cue]
	over := max(c.Up, c.Falls())
	if c.Bump() || over < slowFade {
		return worst, false
	}
	before := s.At(s.NewFrame(), c.Start)
	after := s.At(s.NewFrame(), c.Complete)
	moving := map[*rig.Type]int{}
	for u := range s.Rig.Units {
		if s.moves(u, before, after) {
			moving[s.Rig.Units[u].Type]++
		}
	}
	for u := range s.Rig.Units {
		for _, d := range s.dimmers(u, before, after) {
			if d.from == d.to {
				continue
			}
			steps, err := d.curve.StepVisibility(d.from, d.to, over, moving[s.Rig.Units[u].Type], frameRate)
			if err == nil && (!ok || steps.Visible > worst.Visible) {
				worst, ok = steps, true
			}
		}
	}
	return worst, ok
}

// frameRate is that of a full universe on its line (ANSI E1.11).
const frameRate = 44

// dimmer is a slot, or a pair, that carries a level.
type dimmer struct {
	curve    light.Curve
	from, to float64
}

func (s *Show) moves(u int, before, after *Frame) bool {
	first, last := s.Rig.UnitDrives(u)
	for d := first; d < last; d++ {
		if before.Levels[d] != after.Levels[d] {
			return true
		}
	}
	return false
}

// dimmers lists what carries a unit's levels: its masters, at the brightest of
// what they dim, and the drives that no master dims. A master of 8 bits and its
// drives share a level out, and step as finely as 16 bits do, or nearly.
func (s *Show) dimmers(u int, before, after *Frame) []dimmer {
	unit := &s.Rig.Units[u]
	if unit.Mode == nil {
		return nil
	}
	first, last := s.Rig.UnitDrives(u)
	dimmed := make([]bool, last-first)
	var out []dimmer
	for i := range unit.Mode.Slots {
		slot := &unit.Mode.Slots[i]
		if len(slot.Dims) == 0 {
			continue
		}
		d := dimmer{curve: slot.Curve.Light().Wide()}
		for k := first; k < last; k++ {
			if slot.Dimmed(unit, &s.Rig.Drives[k]) {
				dimmed[k-first] = true
				d.from, d.to = max(d.from, float64(before.Levels[k])), max(d.to, float64(after.Levels[k]))
			}
		}
		out = append(out, d)
	}
	for k := first; k < last; k++ {
		if !dimmed[k-first] {
			slot := &unit.Mode.Slots[s.Rig.Drives[k].Slot]
			out = append(out, dimmer{slotCurve(slot), float64(before.Levels[k]), float64(after.Levels[k])})
		}
	}
	return out
}

func slotCurve(s *rig.Slot) light.Curve {
	if s.Fine > 0 {
		return s.Curve.Light().Wide()
	}
	return s.Curve.Light()
}
