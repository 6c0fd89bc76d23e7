package rig

import (
	"cmp"
	"slices"
)

// Slots is what a unit listens to: indexes of slots from 1.
type Slots struct {
	Unit, Universe, From, To int
}

// occupied lists what the units listen to, by universe and first slot.
func (rg *Rig) occupied() []Slots {
	var all []Slots
	for i := range rg.Units {
		if u := &rg.Units[i]; u.Mode != nil && u.Mode.Footprint > 0 {
			all = append(all, Slots{i, u.Universe, u.Address, u.Address + u.Mode.Footprint - 1})
		}
	}
	slices.SortStableFunc(all, func(a, b Slots) int {
		return cmp.Or(cmp.Compare(a.Universe, b.Universe), cmp.Compare(a.From, b.From), cmp.Compare(a.Unit, b.Unit))
	})
	return all
}

// Meet calls f for every two units that share a slot. In order of first slots, whatever
// meets a unit follows it without a gap; a table of 512 would not say who meets whom.
func (rg *Rig) Meet(f func(a, b Slots)) {
	all := rg.occupied()
	for i, a := range all {
		for _, b := range all[i+1:] {
			if b.Universe != a.Universe || b.From > a.To {
				break
			}
			f(a, b)
		}
	}
}

// Twin returns the first of the units that a unit shares all of its slots with, of its type and in
// its mode, or the unit itself: they always do the same.
func (rg *Rig) Twin(unit int) int {
	u := &rg.Units[unit]
	for i := range rg.Units[:unit] {
		if o := &rg.Units[i]; u.Mode != nil && o.Mode == u.Mode && o.Type == u.Type && o.Universe == u.Universe && o.Address == u.Address {
			return i
		}
	}
	return unit
}

// Overlapping tells which units share some but not all of their slots with
// another. Units of one mode at one address are meant to do the same; any other sharing
// makes one slot mean two things.
func (rg *Rig) Overlapping() map[int]bool {
	out := map[int]bool{}
	rg.Meet(func(a, b Slots) {
		if a.From != b.From || rg.Units[a.Unit].Mode != rg.Units[b.Unit].Mode {
			out[a.Unit], out[b.Unit] = true, true
		}
	})
	return out
}
