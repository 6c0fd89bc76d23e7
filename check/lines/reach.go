package lines

import (
	"fmt"
	"slices"
	"strings"

	"lampblack/check/finding"
	"lampblack/check/subject"
	"lampblack/play/line"
	"lampblack/show"
	"lampblack/si"
)

// way is one output of the bill, taken apart.
type way struct {
	said show.Output
	out  line.Out
}

// sends tells whether the output sends a universe.
func (w *way) sends(universe int) bool {
	return len(w.out.Universes) == 0 || slices.ContainsFunc(w.out.Universes, func(r line.Range) bool { return universe >= int(r.From) && universe <= int(r.To) })
}

// ways are the outputs that could be read; the others have their fault.
func (r *limits) ways() (out []way) {
	for _, o := range r.Bill().Outputs {
		if parsed, err := line.ParseOut(o.Spec()); err == nil {
			out = append(out, way{o, parsed})
		}
	}
	return out
}

// OfOutputs are the limits that ask which way the light goes out.
var OfOutputs = []string{"output-missing", "output-twice"}

const plainSense = "common practice: every universe goes to its units by one way"

// reach finds units that no output sends to, and receivers that two outputs send to.
func (r *limits) reach() {
	ways := r.ways()
	if len(ways) == 0 {
		if len(r.Bill().Outputs) == 0 && len(r.Rig().Units) > 0 {
			r.Lack(subject.Outputs, nil, OfOutputs...)
		}
		return
	}
	for _, u := range r.Rig().Universes() {
		r.sent(ways, u)
	}
	for i := range ways {
		for j := range i {
			r.twice(&ways[j], &ways[i])
		}
	}
}

// sent tells of a universe that no output sends. Its units stay dark for all of the show.
func (r *limits) sent(ways []way, universe int) {
	if slices.ContainsFunc(ways, func(w way) bool { return w.sends(universe) }) {
		return
	}
	var units []int
	for i := range r.Rig().Units {
		if r.Rig().Units[i].Universe == universe {
			units = append(units, i)
		}
	}
	f := finding.Finding{ID: "output-missing", Severity: finding.Stop, Place: fmt.Sprintf("universe %d", universe), Units: r.UnitNames(units), Source: plainSense,
		Says: finding.Say("%s of universe %d, and no output sends that universe: they stay dark", si.Count(len(units), "unit is", "units are"), universe),
		Cure: finding.Say("add %d to the universes of an output in show.yaml, or an output for it; or is the universe of the units a slip?", universe)}
	r.Add(f.At(ways[0].said.Pos))
}

// twice tells of two outputs that send one universe to one receiver. A file is none.
func (r *limits) twice(a, b *way) {
	if a.out.Kind == "file" || b.out.Kind == "file" || !meets(&a.out, &b.out) {
		return
	}
	var shared []string
	for _, u := range r.Rig().Universes() {
		if a.sends(u) && b.sends(u) && renamed(&a.out, u) == renamed(&b.out, u) {
			shared = append(shared, fmt.Sprint(u))
		}
	}
	if shared == nil {
		return
	}
	f := finding.Finding{ID: "output-twice", Severity: finding.Warn, Place: "output " + b.said.To, Source: "common practice: a receiver that hears two senders takes the higher of both, or goes from one to the other",
		Says: finding.Say("two outputs send universe %s to one receiver: %q and %q", strings.Join(shared, ", "), a.said.To, b.said.To),
		Cure: finding.Say("take one of them out, or give each its own universes")}
	r.Add(f.At(b.said.Pos))
}

// meets tells whether two outputs may come to one receiver: the same device, or the same kind of
// packets to the same address or to all.
func meets(a, b *line.Out) bool {
	if a.Kind == "serial" || a.Kind == "widget" || b.Kind == "serial" || b.Kind == "widget" {
		return a.Place == b.Place
	}
	return a.Kind == b.Kind && (a.Addr == b.Addr || !a.Addr.IsValid() || !b.Addr.IsValid())
}

// renamed is what a universe is called on an output.
func renamed(o *line.Out, universe int) int {
	for _, m := range o.Map {
		if universe >= int(m.Show.From) && universe <= int(m.Show.To) {
			return int(m.Wire) + universe - int(m.Show.From)
		}
	}
	return universe
}

// wiring finds units that hang on two data lines, and lines that share a port.
func (r *limits) wiring() {
	rg := r.Rig()
	on := map[string]string{}
	for i := range rg.Lines {
		l := &rg.Lines[i]
		for _, u := range l.Value.Order {
			r.onTwo(on, u, l.Name)
		}
	}
	for i := range rg.Units {
		if u := &rg.Units[i]; u.Line.Name != "" {
			r.onTwo(on, u.Name.Name, u.Line.Name)
		}
	}
	from := map[string]string{}
	for i := range rg.Lines {
		l := &rg.Lines[i]
		first, taken := from[l.Value.From]
		switch {
		case l.Value.From == "":
		case taken:
			f := finding.Finding{ID: "line-port", Severity: finding.Warn, Place: finding.Thing("line", l.Name), Source: "EIA-485: one line without branches; common practice: one line at each port",
				Says: finding.Say("lines %s and %s both come from %s", first, l.Name, l.Value.From),
				Cure: finding.Say("a splitter between, or the port that each really comes from")}
			r.Add(f.At(l.Value.Pos))
		default:
			from[l.Value.From] = l.Name
		}
	}
}

// onTwo notes on which line a unit hangs, and tells of a second.
func (r *limits) onTwo(on map[string]string, unit, name string) {
	first, known := on[unit]
	on[unit] = name
	if !known || first == name {
		return
	}
	i := r.Rig().Index(unit)
	if i < 0 {
		return
	}
	f := finding.Finding{ID: "line-twice", Severity: finding.Stop, Place: finding.Thing("unit", unit), Units: []string{unit}, Source: "EIA-485: one line without branches",
		Says: finding.Say("unit %s hangs on line %s and on line %s: a unit has one data line", unit, first, name),
		Cure: finding.Say("take it out of the order of one of them")}
	r.Add(f.At(r.Rig().Units[i].Name.Pos))
}
