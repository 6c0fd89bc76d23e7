package supply

import (
	"lampblack/check/finding"
	"lampblack/rig"
	"lampblack/si"
	"lampblack/source"
)

// woundShare is how much of its current a cable carries that is still on its reel: plates of reels say a
// third (3 kW off the reel, 1 kW on it, from memory).
const woundShare = 1. / 3

// reels finds cables that carry current while they are wound: they cannot give off their heat.
func (r *limits) reels(f *feeding) {
	v := r.volts(&f.entry.Value)
	amperes, assumed := r.draw(f.all, v)
	r.reel(&f.entry.Value.Cable, "the cable of circuit "+f.entry.Name, amperes+float64(f.entry.Value.Other)/v, assumed, finding.Thing("circuit", f.entry.Name), f.entry.Pos)
	for _, u := range f.all {
		unit := &r.Rig().Units[u]
		amperes, assumed := r.draw(r.below(u), v)
		r.reel(&unit.Lead, "the lead of unit "+unit.Name.Name, amperes, assumed, finding.Thing("unit", unit.Name.Name), unit.Name.Pos)
	}
}

func (r *limits) reel(c *rig.Cable, what string, amperes float64, assumed, place string, pos source.Pos) {
	if c.Reel != rig.Wound || amperes == 0 {
		return
	}
	limit := woundShare * float64(carries(c.Section))
	f := finding.Finding{ID: "supply-reel", Severity: finding.Warn, Place: place, Value: amperes, Limit: limit, Unit: "A", Assumed: assumed,
		Source: "common practice, and plates of reels: a wound cable carries about a third (from memory)",
		Says:   finding.Say("%s carries %s and is still on its reel", what, si.Of(amperes, "A")),
		Cure:   finding.Say("take all of it off the reel and lay it loosely")}
	if limit > 0 && amperes > limit {
		f.Severity = finding.Stop
		f.Says = f.Says.And(": it may melt")
	}
	r.Add(f.At(pos))
}
