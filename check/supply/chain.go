package supply

import (
	"lampblack/check/finding"
	"lampblack/rig"
	"lampblack/show"
	"lampblack/si"
)

// chain looks at the units that are linked through one another from head on. Each link
// carries what hangs behind it, so the first link of a chain is the one most loaded.
func (r *limits) chain(f *feeding, head int) {
	units := r.below(head)
	if len(units) > 1 {
		r.linkLimit(units)
	}
	v := r.volts(&f.entry.Value)
	for _, u := range units {
		r.through(f, u, v)
	}
	r.drop(f, head, v)
}

// linkLimit compares the number of units with the makers' limits. The strictest of all
// types in the chain holds: a maker's number counts units like their own, and a larger
// one behind them only makes it worse.
func (r *limits) linkLimit(units []int) {
	most := 0
	var by *rig.Type
	for _, u := range units {
		t := r.Rig().Units[u].Type
		if t != nil && t.Supply.Link > 0 && (most == 0 || int(t.Supply.Link) < most) {
			most, by = int(t.Supply.Link), t
		}
	}
	if most == 0 || len(units) <= most {
		return
	}
	u := &r.Rig().Units[units[0]]
	r.Add(finding.Finding{ID: "supply-link", Severity: finding.Stop, Place: finding.Thing("unit", u.Name.Name), Units: r.UnitNames(units),
		Value: float64(len(units)), Limit: float64(most), Unit: "units", Source: "the maker's limit for fixture type " + by.ID,
		Says: finding.Say("%d units are linked from unit %s on", len(units), u.Name.Name), Cure: finding.Say("feed the rest from an outlet of their own")}.At(u.Name.Pos))
}

// through compares the current that enters unit u, its own and that of all it feeds,
// with its inlet, its lead and its lead's connectors. The weakest of the parts on the
// way decides: the inlet of the unit, its lead and the lead's connector, and the outlet
// that it is plugged into, of the circuit or of the unit before it. What a file does
// not say of a part does not weaken the chain, apart from the inlet, which is taken for
// the common 10 A coupler.
func (r *limits) through(f *feeding, u int, v float64) {
	unit := &r.Rig().Units[u]
	if unit.Type == nil {
		return
	}
	amperes, assumed := r.draw(r.below(u), v)
	limit, part := float64(unit.Type.Supply.Through), "its inlet"
	if limit == 0 {
		limit, part = plainInlet, "an inlet of 10 A"
		assumed = join(assumed, "10 A couplers (IEC 60320 C13/C14) where the type does not say")
	}
	weaker := func(a si.Current, what string) {
		if a > 0 && float64(a) < limit {
			limit, part = float64(a), what
		}
	}
	weaker(unit.Lead.Connector, "its lead's connector")
	weaker(carries(unit.Lead.Section), "its lead")
	if unit.FedBy.Name == "" {
		weaker(f.entry.Value.Outlet, "the outlet")
	} else if feeder := r.Rig().Index(unit.FedBy.Name); feeder >= 0 && r.Rig().Units[feeder].Type != nil {
		weaker(r.Rig().Units[feeder].Type.Supply.Through, "the outlet of unit "+unit.FedBy.Name)
	}
	if amperes <= limit {
		return
	}
	r.Add(finding.Finding{ID: "supply-chain", Severity: finding.Stop, Place: finding.Thing("unit", unit.Name.Name), Units: r.UnitNames(r.below(u)),
		Value: amperes, Limit: limit, Unit: "A", Assumed: assumed, Source: "ratings of the parts: the whole chain's VA pass its first link",
		Says: finding.Say("%s pass into unit %s, and %s carries %s", si.Of(amperes, "A"), unit.Name.Name, part, si.Of(limit, "A")),
		Cure: finding.Say("split the chain and feed the halves from two outlets")}.At(unit.Name.Pos))
}

// worstDrop follows the leads from a unit on and returns the greatest voltage drop and
// where it ends. before is what is lost up to the unit. Each lead carries the current
// of all behind it, so losses are added link by link; a ring ends at the unit that was
// seen, and is told as supply-loop.
func (r *limits) worstDrop(u int, v, before float64, seen map[int]bool) (drop float64, end int) {
	if seen[u] {
		return before, u
	}
	seen[u] = true
	amperes, _ := r.draw(r.below(u), v)
	here := before + float64(Drop(r.Rig().Units[u].Lead, si.Current(amperes)))
	drop, end = here, u
	for _, c := range r.children(u) {
		if d, e := r.worstDrop(c, v, here, seen); d > drop {
			drop, end = d, e
		}
	}
	return drop, end
}

// lightingDrop is the share of the voltage that may be lost; the sources stand with the
// finding. LED supplies mostly run on far less, but the current of those that hold
// their power rises as the voltage falls.
const lightingDrop = .03

// drop holds the voltage that is lost on the way against the share that may be. The
// circuit's own cable carries all chains, the leads one each; the end of the worst
// chain is told.
func (r *limits) drop(f *feeding, head int, v float64) {
	amperes, assumed := r.draw(f.all, v)
	amperes += float64(f.entry.Value.Other) / v
	first := float64(Drop(f.entry.Value.Cable, si.Current(amperes)))
	drop, end := r.worstDrop(head, v, first, map[int]bool{})
	limit := lightingDrop * v
	if drop <= limit {
		return
	}
	by := "BS 7671 appendix 4, table 4Ab, and IEC 60364-5-52 annex G: 3 % for lighting"
	if r.Bill().Wiring == show.CodeUS {
		by = "NEC 210.19(A), informational note: 3 % on a branch circuit"
	}
	at := r.Rig().Units[end].Name.Pos
	if first > drop/2 {
		at = f.entry.Pos // most of it is lost in the circuit's own cable
	}
	r.Add(finding.Finding{ID: "supply-drop", Severity: finding.Warn, Place: finding.Thing("unit", r.Unit(end)), Units: []string{r.Unit(end)},
		Value: drop, Limit: limit, Unit: "V", Source: by, Assumed: join("copper at 70 °C unless the files say otherwise", assumed),
		Says: finding.Say("unit %s gets %s less than the board of circuit %s, %s %%", r.Unit(end), si.Of(drop, "V"), f.entry.Name, si.Of(100*drop/v, "")),
		Cure: finding.Say("take a thicker or shorter cable, or split the load")}.At(at))
}
