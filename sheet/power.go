package sheet

import (
	"context"
	"fmt"
	"strings"

	"lampblack/rig"
	"lampblack/sheet/typeset"
	"lampblack/si"
	"lampblack/web/page"
)

// powerSheet is what hangs on each circuit: rated maxima, as the caretaker and the electrician
// want them. What of it is too much, package check says.
func powerSheet(_ context.Context, s *Subject) ([]typeset.Block, error) {
	r := s.Show.Rig
	out := []typeset.Block{boxed("A supply for a show is made and tested by a competent person. Residual current devices are tried before every get-in. Never dim the supply of lamps that have electronics in them.")}
	sums := &typeset.Table{Name: "Circuits", Columns: []typeset.Column{{Head: "Circuit", Bold: true}, {Head: "Breaker"}, {Head: "Voltage"}, {Head: "Phase"}, {Head: "RCD"}, {Head: "Outlet"}, {Head: "Units", Right: true}, {Head: "W", Right: true},
		{Head: "VA", Right: true}, {Head: "A", Right: true}, {Head: "of breaker", Right: true}, {Head: "Tried", Least: 3}}}
	all, units, va := 0.0, 0, 0.0
	var details []typeset.Block
	for _, entry := range r.Circuits {
		l := loadOf(r, entry.Name)
		c := &entry.Value
		amperes := l.va / float64(c.Mains())
		share := ""
		if c.Breaker.Rated > 0 {
			share = fmt.Sprintf("%.0f %%", 100*amperes/float64(c.Breaker.Rated))
		}
		sums.Rows = append(sums.Rows, row(entry.Name, breaker(c), volts(c), string(c.Phase), current(c.RCD), current(c.Outlet), fmt.Sprint(len(l.units)), whole(l.watts), whole(l.va), fmt.Sprintf("%.1f", amperes), share, typeset.Box))
		all, units, va = all+l.watts, units+len(l.units), va+l.va
		details = append(details, chainTable(r, entry.Name, c, l.units))
	}
	loose := loadOf(r, "")
	if n := len(loose.units); n > 0 {
		sums.Rows = append(sums.Rows, row("(no circuit said)", "", "", "", "", "", fmt.Sprint(n), whole(loose.watts), whole(loose.va)))
		details = append(details, chainTable(r, "no circuit said", &rig.Circuit{}, loose.units))
	}
	sums.Rows = append(sums.Rows, sum("all", "", "", "", "", "", fmt.Sprint(units+len(loose.units)), whole(all+loose.watts), whole(va+loose.va)))
	out = append(out, sums, words("Rated maxima of the lamps, all at full at once; VA by the power factor of each type, 1 where nobody said, and with what else the circuit carries. A continuous load stays under 80 % of a breaker (a rule of North America, good practice elsewhere). Where the voltage is not said, 230 V is taken."))
	if unknown := unsaid(r); unknown != "" {
		out = append(out, boxed(strong("No rated power is known of:")+" "+unknown))
	}
	return append(out, details...), nil
}

// load is what hangs on a circuit.
type load struct {
	units     []int
	watts, va float64
}

// loadOf gathers the units of a circuit, "" for those of none, and its other load.
func loadOf(r *rig.Rig, circuit string) load {
	var l load
	for i := range r.Units {
		if page.Feeder(r, i) != circuit {
			continue
		}
		l.units = append(l.units, i)
		l.watts += watt(&r.Units[i])
		l.va += apparent(&r.Units[i])
	}
	if c := r.Circuits.Get(circuit); c != nil {
		l.va += float64(c.Other)
	}
	return l
}

func apparent(u *rig.Unit) float64 {
	if u.Type == nil {
		return 0
	}
	if f := float64(u.Type.Supply.Factor); f > 0 {
		return watt(u) / f
	}
	return watt(u)
}

func current(v si.Current) string {
	switch {
	case v == 0:
		return ""
	case v < 1:
		return fmt.Sprintf("%g mA", float64(v)*1000)
	}
	return fmt.Sprintf("%g A", float64(v))
}

func breaker(c *rig.Circuit) string {
	if c.Breaker.Rated == 0 {
		return ""
	}
	return c.Breaker.String()
}

func volts(c *rig.Circuit) string {
	if c.Voltage == 0 {
		return ""
	}
	return c.Voltage.String()
}

// chainTable lists what a circuit feeds, in the order of its chains.
func chainTable(r *rig.Rig, name string, c *rig.Circuit, units []int) *typeset.Table {
	t := &typeset.Table{Name: "Circuit " + name, Columns: []typeset.Column{{Head: "Unit", Bold: true}, {Head: "Fed from"}, {Head: "Type"}, {Head: "W", Right: true}, {Head: "A", Right: true}, {Head: "Inrush"}, {Head: "Leakage"}, {Head: "At most linked", Right: true}, {Head: "Lead"}}}
	if name == "no circuit said" {
		t.Name = "On no circuit that is said"
	}
	watts := 0.0
	for _, i := range inChains(r, units) {
		u := &r.Units[i]
		watts += watt(u)
		cells := []string{u.Name.Name, feedOf(u), typeName(u), wattsOf(u), optional(apparent(u)/float64(c.Mains()), "%.2f"), "", "", "", lead(u)}
		if k := u.Type; k != nil {
			if k.Supply.Inrush.Peak > 0 {
				cells[5] = k.Supply.Inrush.String()
			}
			cells[6] = current(k.Supply.Leakage)
			cells[7] = optional(float64(k.Supply.Link), "%g")
		}
		t.Rows = append(t.Rows, row(cells...))
	}
	if c.Other > 0 || len(c.Carries) > 0 {
		t.Rows = append(t.Rows, row("what else", strings.Join(c.Carries, ", "), "", "", optional(float64(c.Other)/float64(c.Mains()), "%.2f")))
	}
	t.Rows = append(t.Rows, sum("sum", "", "", whole(watts)))
	return t
}

func feedOf(u *rig.Unit) string {
	if u.FedBy.Name != "" {
		return u.FedBy.Name
	}
	return "outlet"
}

func lead(u *rig.Unit) string {
	text := aboutCable(&u.Lead)
	if u.Lead.Length > 0 {
		text = strings.TrimSuffix(u.Lead.Length.String()+", "+text, ", ")
	}
	return text
}

// inChains puts every unit behind the one that feeds it.
func inChains(r *rig.Rig, units []int) []int {
	behind := map[string][]int{}
	for _, i := range units {
		behind[r.Units[i].FedBy.Name] = append(behind[r.Units[i].FedBy.Name], i)
	}
	var out []int
	done := map[int]bool{}
	var follow func(name string)
	follow = func(name string) {
		for _, i := range behind[name] {
			if !done[i] {
				done[i] = true
				out = append(out, i)
				follow(r.Units[i].Name.Name)
			}
		}
	}
	follow("")
	for _, i := range units { // rings, which check tells
		if !done[i] {
			out = append(out, i)
		}
	}
	return out
}

// unsaid names the types of units without a rated power.
func unsaid(r *rig.Rig) string {
	var out []string
	seen := map[string]bool{}
	for i := range r.Units {
		if u := &r.Units[i]; watt(u) == 0 && !seen[typeName(u)] {
			seen[typeName(u)] = true
			out = append(out, typeName(u))
		}
	}
	return strings.Join(out, ", ")
}
