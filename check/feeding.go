package check

import (
	"fmt"
	"slices"

	"lampblack/rig"
	"lampblack/source"
)

// feeding is how the units hang on one circuit.
type feeding struct {
	entry *source.Entry[rig.Circuit]
	heads []int // fed straight from it
	all   []int // heads and what they feed
}

// children lists the units that unit u feeds.
func (r *report) children(u int) []int {
	if r.fed == nil {
		r.fed = make([][]int, len(r.show.Rig.Units))
		index := map[string]int{}
		for i := range r.show.Rig.Units {
			index[r.unit(i)] = i
		}
		for i := range r.show.Rig.Units {
			if by, ok := index[r.show.Rig.Units[i].FedBy.Name]; ok {
				r.fed[by] = append(r.fed[by], i)
			}
		}
	}
	return r.fed[u]
}

// below lists u and all that it feeds, each once.
func (r *report) below(u int) []int {
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

func (r *report) feeding(e *source.Entry[rig.Circuit]) feeding {
	f := feeding{entry: e}
	for i := range r.show.Rig.Units {
		u := &r.show.Rig.Units[i]
		if u.Circuit.Name == e.Name && u.FedBy.Name == "" {
			f.heads = append(f.heads, i)
			f.all = append(f.all, r.below(i)...)
		}
	}
	return f
}

// unfed reports units without a supply, those that feed one another in a
// ring, and those with two supplies.
func (r *report) unfed() {
	reached := map[int]bool{}
	for i := range r.show.Rig.Units {
		u := &r.show.Rig.Units[i]
		if u.Circuit.Name != "" && u.FedBy.Name == "" {
			for _, b := range r.below(i) {
				reached[b] = true
			}
		}
	}
	for i := range r.show.Rig.Units {
		u := &r.show.Rig.Units[i]
		f := Finding{Place: place("unit", u.Name.Name), Units: []string{u.Name.Name}, Source: "common practice"}.at(u.Name.Pos)
		switch {
		case u.Circuit.Name != "" && u.FedBy.Name != "":
			f = f.as("supply-loop", Stop, "unit %s is fed from circuit %s and by unit %s at once", u.Name.Name, u.Circuit.Name, u.FedBy.Name)
			r.add(f)
		case reached[i]:
		case u.FedBy.Name == "":
			r.add(f.as("supply-unknown", Warn, "unit %s has no supply: neither circuit nor fed by", u.Name.Name))
		case slices.Contains(r.below(i)[1:], r.show.Rig.Index(u.FedBy.Name)) || u.FedBy.Name == u.Name.Name:
			r.add(f.as("supply-loop", Stop, "unit %s is fed by %s, which it feeds itself: no circuit reaches them", u.Name.Name, u.FedBy.Name))
		default:
			r.add(f.as("supply-unknown", Warn, "unit %s is fed by %s, which no circuit feeds", u.Name.Name, u.FedBy.Name))
		}
	}
}

// apparent returns the VA of a unit at its rated maximum, and what had to be
// assumed for that.
func (r *report) apparent(u int) (va float64, assumed string) {
	t := r.show.Rig.Units[u].Type
	if t == nil || t.Supply.Max == 0 {
		return 0, ""
	}
	factor := float64(t.Supply.Factor)
	if factor <= 0 || factor > 1 {
		return float64(t.Supply.Max) / plainFactor, fmt.Sprintf("power factor %v for types that do not say", plainFactor)
	}
	return float64(t.Supply.Max) / factor, ""
}

// draw is the current of some units at a voltage, in amperes.
func (r *report) draw(units []int, volts float64) (amperes float64, assumed string) {
	va := 0.0
	for _, u := range units {
		one, a := r.apparent(u)
		va += one
		assumed = max(assumed, a)
	}
	return va / volts, assumed
}

func volts(c *rig.Circuit) float64 { return float64(c.Mains()) }

func (r *report) names(units []int) []string {
	out := make([]string, len(units))
	for i, u := range units {
		out[i] = r.unit(u)
	}
	slices.Sort(out)
	return out
}
