package lines

import (
	"slices"

	"lampblack/check/finding"
	"lampblack/rig"
)

// addresses finds units that listen to the same slots. Slots past 512 are
// refused where the rig is read.
func (r *limits) addresses() {
	r.Rig().Meet(r.overlap)
}

// overlap tells of two units that share slots. Sharing on purpose is common with small
// rigs: two lamps as one. It is a note where type, mode and address are the same and no
// look asks for a difference; otherwise one of the two will do what was meant for the
// other, which is a stop. a and b are put in the rig's order, so the later unit is the
// one told of.
func (r *limits) overlap(a, b rig.Slots) {
	one, two := &r.Rig().Units[a.Unit], &r.Rig().Units[b.Unit]
	if b.Unit < a.Unit {
		a, b, one, two = b, a, two, one
	}
	names := []string{r.Unit(a.Unit), r.Unit(b.Unit)}
	shared := min(a.To, b.To) - max(a.From, b.From) + 1
	f := finding.Finding{Value: float64(shared), Unit: "slots", Units: names,
		Place: finding.Thing("unit", r.Unit(b.Unit)), Source: "common practice: every unit has slots of its own"}
	if a.From == b.From && one.Mode == two.Mode && one.Type == two.Type && r.alike(a.Unit, b.Unit) {
		f.ID, f.Severity = "address-shared", finding.Note
		f.Says = finding.Say("units %s and %s share address %d of universe %d and always do the same", names[0], names[1], a.From, a.Universe)
		f.Assumed = "both are set to the same mode"
		r.Add(f.At(two.Name.Pos))
		return
	}
	f.ID, f.Severity = "address-overlap", finding.Stop
	f.Says = finding.Say("units %s (%d to %d) and %s (%d to %d) listen to the same slots of universe %d",
		names[0], a.From, a.To, names[1], b.From, b.To, a.Universe)
	if free, ok := FreeAddress(r.Rig(), b.Unit); ok {
		f.Cure = finding.Say("address %d is free for unit %s", free, names[1])
	}
	r.Add(f.At(two.Name.Pos))
}

// alike tells whether every look wants the same of two units. Levels are compared drive
// by drive, as they are of one mode.
func (r *limits) alike(a, b int) bool {
	fromA, toA := r.Rig().UnitDrives(a)
	fromB, toB := r.Rig().UnitDrives(b)
	if toA-fromA != toB-fromB {
		return false
	}
	if r.Show == nil {
		return true // nothing says otherwise
	}
	for _, l := range r.Show.Looks {
		if !slices.Equal(l.Levels[fromA:toA], l.Levels[fromB:toB]) || l.Flash[a] != l.Flash[b] {
			return false
		}
	}
	return true
}

// FreeAddress returns the lowest address at which the unit would meet no other, at or
// above its own first. It counts units of the same universe only, as they stand in the
// rig; a gap inside the footprint of another counts as used. Index 0 of used stays free
// and is never looked at: slots count from 1 to 512.
func FreeAddress(rg *rig.Rig, unit int) (int, bool) {
	u := &rg.Units[unit]
	var used [514]bool
	for i := range rg.Units {
		o := &rg.Units[i]
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
