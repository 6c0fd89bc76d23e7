package check

import (
	"cmp"
	"fmt"
	"slices"

	"lampblack/rig"
)

// span of slots that a unit listens to.
type slots struct {
	unit, universe, from, to int
}

// occupied lists what the units listen to, by universe and first slot.
func occupied(rg *rig.Rig) []slots {
	var all []slots
	for i := range rg.Units {
		if u := &rg.Units[i]; u.Mode != nil && u.Mode.Footprint > 0 {
			all = append(all, slots{i, u.Universe, u.Address, u.Address + u.Mode.Footprint - 1})
		}
	}
	slices.SortStableFunc(all, func(a, b slots) int {
		return cmp.Or(cmp.Compare(a.universe, b.universe), cmp.Compare(a.from, b.from), cmp.Compare(a.unit, b.unit))
	})
	return all
}

// meet calls f for every two units that share a slot.
func meet(all []slots, f func(a, b slots)) {
	for i, a := range all {
		for _, b := range all[i+1:] {
			if b.universe != a.universe || b.from > a.to {
				break
			}
			f(a, b)
		}
	}
}

// overlapping tells which units share some but not all of their slots with
// another.
func overlapping(rg *rig.Rig) map[int]bool {
	out := map[int]bool{}
	meet(occupied(rg), func(a, b slots) {
		if a.from != b.from || rg.Units[a.unit].Mode != rg.Units[b.unit].Mode {
			out[a.unit], out[b.unit] = true, true
		}
	})
	return out
}

// addresses finds units that listen to the same slots. Slots past 512 are
// refused where the rig is read.
func (r *report) addresses() {
	meet(occupied(r.show.Rig), r.overlap)
}

func (r *report) overlap(a, b slots) {
	one, two := &r.show.Rig.Units[a.unit], &r.show.Rig.Units[b.unit]
	if b.unit < a.unit {
		a, b, one, two = b, a, two, one
	}
	names := []string{r.unit(a.unit), r.unit(b.unit)}
	shared := min(a.to, b.to) - max(a.from, b.from) + 1
	f := Finding{Value: float64(shared), Unit: "slots", Units: names,
		Place: place("unit", r.unit(b.unit)), Source: "common practice: every unit has slots of its own"}
	if a.from == b.from && one.Mode == two.Mode && one.Type == two.Type && r.alike(a.unit, b.unit) {
		f.ID, f.Severity = "address-shared", Note
		f.Text = fmt.Sprintf("units %s and %s share address %d of universe %d and always do the same", names[0], names[1], a.from, a.universe)
		f.Assumed = "both are set to the same mode"
		r.add(f.at(two.Name.Pos))
		return
	}
	f.ID, f.Severity = "address-overlap", Stop
	f.Text = fmt.Sprintf("units %s (%d to %d) and %s (%d to %d) listen to the same slots of universe %d",
		names[0], a.from, a.to, names[1], b.from, b.to, a.universe)
	if free, ok := r.freeAddress(b.unit); ok {
		f.Hint = fmt.Sprintf("address %d is free for unit %s", free, names[1])
	}
	r.add(f.at(two.Name.Pos))
}

// alike tells whether every look wants the same of two units.
func (r *report) alike(a, b int) bool {
	fromA, toA := r.show.Rig.UnitDrives(a)
	fromB, toB := r.show.Rig.UnitDrives(b)
	if toA-fromA != toB-fromB {
		return false
	}
	for _, l := range r.show.Looks {
		if !slices.Equal(l.Levels[fromA:toA], l.Levels[fromB:toB]) || l.Flash[a] != l.Flash[b] {
			return false
		}
	}
	return true
}

// freeAddress returns the lowest address at which the unit would meet no
// other, at or above its own first.
func (r *report) freeAddress(unit int) (int, bool) {
	u := &r.show.Rig.Units[unit]
	var used [514]bool
	for i := range r.show.Rig.Units {
		o := &r.show.Rig.Units[i]
		if i == unit || o.Universe != u.Universe || o.Mode == nil {
			continue
		}
		for n := max(o.Address, 1); n < o.Address+o.Mode.Footprint && n <= 512; n++ {
			used[n] = true
		}
	}
	last := 513 - u.Mode.Footprint
	fits := func(from int) bool { return !slices.Contains(used[from:from+u.Mode.Footprint], true) }
	for from := max(u.Address, 1); from <= last; from++ {
		if fits(from) {
			return from, true
		}
	}
	for from := 1; from < u.Address && from <= last; from++ {
		if fits(from) {
			return from, true
		}
	}
	return 0, false
}
