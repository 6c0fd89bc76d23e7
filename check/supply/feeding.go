package supply

import (
	"fmt"
	"slices"

	"lampblack/check/finding"
	"lampblack/check/subject"
	"lampblack/rig"
	"lampblack/show"
	"lampblack/source"
)

// feeding is how the units hang on one circuit.
type feeding struct {
	entry *source.Entry[rig.Circuit]
	heads []int // fed straight from it
	all   []int // heads and what they feed
}

// children lists the units that unit u feeds.
func (r *limits) children(u int) []int {
	if r.fed == nil {
		r.fed = make([][]int, len(r.Rig().Units))
		index := map[string]int{}
		for i := range r.Rig().Units {
			index[r.Unit(i)] = i
		}
		for i := range r.Rig().Units {
			if by, ok := index[r.Rig().Units[i].FedBy.Name]; ok {
				r.fed[by] = append(r.fed[by], i)
			}
		}
	}
	return r.fed[u]
}

// below lists u and all that it feeds, each once, so that a ring, which is a fault of
// its own, does not make it run for ever.
func (r *limits) below(u int) []int {
	out := []int{u}
	seen := map[int]bool{u: true}
	for i := 0; i < len(out); i++ {
		for _, c := range r.children(out[i]) {
			if !seen[c] {
				seen[c] = true
				out = append(out, c)
			}
		}
	}
	return out
}

func (r *limits) feeding(e *source.Entry[rig.Circuit]) feeding {
	f := feeding{entry: e}
	for i := range r.Rig().Units {
		u := &r.Rig().Units[i]
		if u.Circuit.Name == e.Name && u.FedBy.Name == "" {
			f.heads = append(f.heads, i)
			f.all = append(f.all, r.below(i)...)
		}
	}
	return f
}

// unfed reports units without a supply, those that feed one another in a ring, and
// those with two supplies. Where a unit hangs in a ring no circuit reaches any of it,
// so the ring is told unit by unit. The cases go from what is contradictory to what is
// only missing.
func (r *limits) unfed() {
	reached := map[int]bool{}
	for i := range r.Rig().Units {
		u := &r.Rig().Units[i]
		if u.Circuit.Name != "" && u.FedBy.Name == "" {
			for _, b := range r.below(i) {
				reached[b] = true
			}
		}
	}
	var bare []string
	for i := range r.Rig().Units {
		u := &r.Rig().Units[i]
		f := finding.Finding{Place: finding.Thing("unit", u.Name.Name), Units: []string{u.Name.Name}, Source: "common practice"}.At(u.Name.Pos)
		switch {
		case u.Circuit.Name != "" && u.FedBy.Name != "":
			f = f.As("supply-loop", finding.Stop, "unit %s is fed from circuit %s and by unit %s at once", u.Name.Name, u.Circuit.Name, u.FedBy.Name)
			r.Add(f)
		case reached[i]:
		case u.FedBy.Name == "":
			bare = append(bare, u.Name.Name)
		case slices.Contains(r.below(i)[1:], r.Rig().Index(u.FedBy.Name)) || u.FedBy.Name == u.Name.Name:
			r.Add(f.As("supply-loop", finding.Stop, "unit %s is fed by %s, which it feeds itself: no circuit reaches them", u.Name.Name, u.FedBy.Name))
		default:
			bare = append(bare, u.Name.Name)
		}
	}
	if bare != nil {
		r.Lack(subject.Plugs, bare, OfFeeds...)
	}
}

// apparent returns the VA of a unit at its rated maximum, and what had to be assumed
// for that. VA is watts over the power factor. A factor above 1 cannot be, and counts
// as not said.
func (r *limits) apparent(u int) (va float64, assumed string) {
	t := r.Rig().Units[u].Type
	if t == nil || t.Supply.Max == 0 {
		return 0, ""
	}
	factor := float64(t.Supply.Factor)
	if factor <= 0 || factor > 1 {
		return float64(t.Supply.Max) / plainFactor, fmt.Sprintf("power factor %v for types that do not say", plainFactor)
	}
	return float64(t.Supply.Max) / factor, ""
}

// draw is the current of some units at a voltage, in amperes. Adding VA takes all
// currents for in phase, which is the upper end.
func (r *limits) draw(units []int, volts float64) (amperes float64, assumed string) {
	va := 0.0
	for _, u := range units {
		one, a := r.apparent(u)
		va += one
		assumed = max(assumed, a)
	}
	return va / volts, assumed
}

func (r *limits) volts(c *rig.Circuit) float64 {
	if c.Voltage == 0 && r.Bill().Wiring == show.CodeUS {
		return plainVoltageUS
	}
	return float64(c.Mains())
}

// plainVoltageUS is that of outlets where the rules are the NEC, in V (from memory).
const plainVoltageUS = 120
