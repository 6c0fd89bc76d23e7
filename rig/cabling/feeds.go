package cabling

import (
	"cmp"
	"slices"

	"lampblack/rig"
	"lampblack/si"
)

// The sections of leads, mm2; the larger one where the smaller loses too much.
var sections = []si.Section{1.5, 2.5}

// plan puts a layout into the words of the rig.
func (s *supply) plan(l *layout, eased []Ease) *Circuits {
	out := &Circuits{Cost: l.cost, Bound: l.bound, Exact: l.exact, Placed: true, Outlets: true, Eased: eased}
	all := sets(l.chains)
	at := 0
	for i := range s.rig.Circuits {
		e := &s.rig.Circuits[i]
		c := Circuit{Name: e.Name, Phase: e.Value.Phase}
		if c.Why = s.why(e); c.Why == "" {
			s.fill(&c, at, l.chains[at], all)
			out.Outlets = out.Outlets && (e.Value.At != nil || len(c.Chains) == 0)
			at++
		}
		if c.Drop > c.MostDrop && !slices.Contains(out.Eased, EaseDrop) {
			out.Eased = append(out.Eased, EaseDrop)
		}
		for _, chain := range c.Chains {
			for _, f := range chain {
				out.Metres += total(f.Pieces)
			}
		}
		out.Circuits = append(out.Circuits, c)
	}
	for i := range s.rig.Units {
		if s.rig.Units[i].Type == nil {
			out.Left = append(out.Left, i)
		}
	}
	for k, t := range s.types {
		out.Placed = out.Placed && !s.rig.Units[s.units[k]].Guessed(rig.GuessedPlace)
		if t.Supply.Max == 0 && !slices.Contains(out.Unsaid, t.ID) {
			out.Unsaid = append(out.Unsaid, t.ID)
		}
		if !passes(t) && !slices.Contains(out.Alone, t.ID) {
			out.Alone = append(out.Alone, t.ID)
		}
	}
	return out
}

// fill works out one circuit.
func (s *supply) fill(c *Circuit, source int, chains [][]int, all [][]int) {
	set := all[source]
	c.Amperes, c.Limit = si.Current(s.amperes(source, set)), si.Current(s.fuse(source))
	peak, stands := s.surge(source, set)
	c.Surge, c.Stands = si.Current(peak), si.Current(stands)
	device := s.device[source]
	c.Leakage, c.Leaking = si.Current(s.leakage(device, all)), si.Current(leakShare*s.rating[device])
	c.MostDrop = si.Voltage(dropShare * s.volts[source])
	chains = slices.Clone(chains)
	slices.SortFunc(chains, func(a, b []int) int { return cmp.Compare(slices.Min(a), slices.Min(b)) })
	v := &s.circuits[source].Value
	before := drop(v.Cable, float64(c.Amperes)+float64(v.Other)/s.volts[source])
	for _, chain := range chains {
		feeds, lost := s.feeds(source, chain, sections[0])
		if before+lost > float64(c.MostDrop) {
			feeds, lost = s.feeds(source, chain, sections[1])
		}
		c.Drop = max(c.Drop, si.Voltage(before+lost))
		c.Chains = append(c.Chains, feeds)
	}
}

// feeds are the leads of one chain, and the voltage that is lost along it.
func (s *supply) feeds(source int, chain []int, section si.Section) (out []Feed, lost float64) {
	from := -1
	at := s.outlet(source, s.rig.Units[s.units[chain[0]]].At)
	for i, k := range chain {
		u := s.units[k]
		here := s.rig.Units[u].At
		f := Feed{Unit: u, From: from, Pieces: s.o.Leads.Pieces(Run(at, here))}
		amperes := s.amperes(source, chain[i:])
		f.Lead = rig.Cable{Length: total(f.Pieces), Section: rig.Conductor{Section: section}, Connector: plainCoupler}
		if amperes > plainCoupler {
			f.Lead.Connector = leadCarries
		}
		lost += drop(f.Lead, amperes)
		out = append(out, f)
		from, at = u, here
	}
	return out, lost
}
