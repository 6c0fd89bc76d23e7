package show

import (
	"slices"

	"lampblack/score"
	"lampblack/source"
)

// ByHand works out a look that stands in no file, of parts as a hand asks for them. It may
// be called while the show runs, by many goroutines.
func (s *Show) ByHand(name string, parts []score.Part) (Look, source.Faults) {
	var faults source.Faults
	l := s.look(name, &score.Look{Parts: parts}, parts, newMixing(s.Rig, s.outputs), nil, &faults)
	l.stands = s.encoder.Still(l.Levels)
	return l, faults
}

// Touches tells of each drive whether a part of the look names its unit.
func (l *Look) Touches() []bool { return l.touches }

// Recode writes the slots of some units of a frame anew, from its levels and flash rates.
// stands has the look that stands in a unit, whose slots are then taken as they were found
// for it; nil is light that moves. scratch is another frame of the show.
func (s *Show) Recode(f, scratch *Frame, units []bool, stands []*Look) {
	copy(scratch.Levels, f.Levels)
	copy(scratch.Flash, f.Flash)
	for u := range scratch.still {
		scratch.still[u] = nil
		if l := stands[u]; l != nil {
			scratch.still[u] = l.stands
		}
	}
	s.encoder.Encode(scratch.Universes, scratch.Levels, scratch.Flash, scratch.still, nil)
	for u, on := range units {
		if on {
			s.slots(f, scratch, u)
		}
	}
}

// slots copies the slots of a unit from one frame to another.
func (s *Show) slots(dst, f *Frame, unit int) {
	u := &s.Rig.Units[unit]
	if u.Mode == nil || u.Address < 1 || u.Address+u.Mode.Footprint-1 > 512 {
		return
	}
	for i := range dst.Universes {
		if dst.Universes[i].Number == u.Universe {
			from, to := u.Address-1, u.Address+u.Mode.Footprint-1
			copy(dst.Universes[i].Slots[from:to], f.Universes[i].Slots[from:to])
		}
	}
}

// Overlap tells whether two parts speak of a drive in common.
func (s *Show) Overlap(a, b *score.Part) bool {
	others := s.UnitsOf(b)
	for _, u := range s.UnitsOf(a) {
		if !slices.Contains(others, u) {
			continue
		}
		from, to := s.Rig.UnitDrives(u)
		for d := from; d < to; d++ {
			if s.Speaks(a, d) && s.Speaks(b, d) {
				return true
			}
		}
	}
	return false
}

// UnitsOf lists the units that a part names, of those that the rig has.
func (s *Show) UnitsOf(p *score.Part) []int {
	var said source.Faults
	return s.units(p, &said)
}
