package supply

import (
	"slices"

	"lampblack/check/finding"
	"lampblack/rig"
	"lampblack/si"
)

// sockets counts the plugs that go to the outlets of a circuit.
func (r *limits) sockets(f *feeding) {
	c := &f.entry.Value
	if c.Sockets == 0 || len(f.heads) <= c.Sockets {
		return
	}
	g := finding.Finding{ID: "supply-sockets", Severity: finding.Warn, Place: finding.Thing("circuit", f.entry.Name), Units: r.UnitNames(f.heads),
		Value: float64(len(f.heads)), Limit: float64(c.Sockets), Unit: "plugs", Source: "the rig's own circuits",
		Margin: -float64(len(f.heads)-c.Sockets) / float64(c.Sockets),
		Says:   finding.Say("%s go to circuit %s, which has %s", si.Count(len(f.heads), "plug", "plugs"), f.entry.Name, si.Count(c.Sockets, "socket", "sockets")),
		Cure:   finding.Say("link units where their makers allow it, or bring a distribution that carries them")}
	r.Add(g.At(f.entry.Pos))
}

// leads finds supply leads that do not reach: from the unit before, or from the circuit's outlets by way of
// its cable.
func (r *limits) leads() {
	rg := r.Rig()
	for i := range rg.Units {
		u := &rg.Units[i]
		if u.Hung == nil {
			continue
		}
		reach, from, what := float64(u.Lead.Length), (*[3]si.Length)(nil), ""
		if by := rg.Index(u.FedBy.Name); u.FedBy.Name != "" && by >= 0 {
			from, what = rg.Units[by].Hung, "unit "+u.FedBy.Name
		} else if c := rg.Circuits.Get(u.Circuit.Name); c != nil {
			from, what = c.At, "the outlet of circuit "+u.Circuit.Name
			reach += float64(c.Cable.Length)
		}
		if from == nil || reach == 0 {
			continue
		}
		if way := float64(si.Apart(*from, *u.Hung)); way > reach {
			f := finding.Finding{ID: "supply-lead", Severity: finding.Warn, Place: finding.Thing("unit", u.Name.Name), Units: []string{u.Name.Name}, Value: reach, Limit: way, Unit: "m",
				Margin: (reach - way) / way, Source: "the rig's own places",
				Says: finding.Say("the lead of unit %s is %s long, and %s is %s away", u.Name.Name, si.Of(reach, "m"), what, si.Of(way, "m")),
				Cure: finding.Say("bring a longer one: count the way up, down and around as well")}
			r.Add(f.At(u.Name.Pos))
		}
	}
}

// efficacy is the most light that a watt can be, in lm/W: at 555 nm (CIE 018; SI, Kcd = 683 lm/W at 540 THz).
const efficacy = 683

// shines finds types that are said to give more light than they take power.
func (r *limits) shines() {
	var told []*rig.Type
	for i := range r.Rig().Units {
		t := r.Rig().Units[i].Type
		if t == nil || t.Supply.Max == 0 || slices.Contains(told, t) {
			continue
		}
		told = append(told, t)
		sum := 0.0
		for k := range t.Emitters {
			o := &t.Emitters[k].Value.Output
			if o.InLumens() {
				sum += float64(o.Luminous.Low) / efficacy
			} else {
				sum += float64(o.Radiant.Low)
			}
		}
		if sum <= float64(t.Supply.Max) {
			continue
		}
		f := finding.Finding{ID: "lamp-power", Severity: finding.Warn, Place: finding.Thing("fixture type", t.ID), Value: sum, Limit: float64(t.Supply.Max), Unit: "W",
			Margin: -(sum - float64(t.Supply.Max)) / float64(t.Supply.Max), Source: "energy is kept; a lumen is at least 1/683 W (SI)",
			Says: finding.Say("fixture type %s is said to give %s of light at least, and to take %s", t.ID, si.Of(sum, "W"), si.Of(float64(t.Supply.Max), "W")),
			Cure: finding.Say("the watts on a housing are mostly those of the LEDs, not of light: measure it, or leave the output to the generic type")}
		at := t.Pos
		if len(t.Emitters) == 1 {
			at = t.Emitters[0].Pos
		}
		r.Add(f.At(at))
	}
}
