// Package steps tells what somebody has to do on the spot to make a rig of what it was.
//
//	Between(before, after) ──▶ []Step     unit by unit, in the order of the work
//
// Units are the same when their names are. What a step says is for a person at the foot of a ladder:
// one thing, with what it was.
package steps

import (
	"fmt"
	"slices"
	"strings"

	"lampblack/rig"
	"lampblack/rig/address"
	"lampblack/si"
)

// Kind is what a step is about, in the order of the work.
type Kind string

// The kinds of steps.
const (
	Strike  Kind = "strike"  // a unit goes
	Replace Kind = "replace" // another lamp in its place
	Hang    Kind = "hang"    // a unit is new
	Move    Kind = "move"    // it hangs elsewhere
	Aim     Kind = "aim"     // it is aimed elsewhere
	Mode    Kind = "mode"    // another mode
	Address Kind = "address" // another address or universe
	Data    Kind = "data"    // another unit before it on its line
	Power   Kind = "power"   // something else feeds it
)

var order = []Kind{Strike, Replace, Hang, Move, Aim, Mode, Address, Data, Power}

// Step is one thing to do.
type Step struct {
	Kind Kind
	Unit string
	Say  string
}

// Between lists the steps from one rig to the other.
func Between(before, after *rig.Rig) []Step {
	var out []Step
	add := func(kind Kind, unit, form string, args ...any) {
		out = append(out, Step{kind, unit, fmt.Sprintf(form, args...)})
	}
	for i := range before.Units {
		if name := before.Units[i].Name.Name; after.Index(name) < 0 {
			add(Strike, name, "take %s out", name)
		}
	}
	was, is := feeders(before), feeders(after)
	for i := range after.Units {
		u := &after.Units[i]
		old := &rig.Unit{}
		if k := before.Index(u.Name.Name); k >= 0 {
			old = &before.Units[k]
		}
		hung(old, u, add)
		set(old, u, add)
		name := u.Name.Name
		if from, had := is[name], was[name]; from != had && from != "" {
			add(Data, name, "data into %s comes %s%s", name, from, instead(had))
		}
		fed(old, u, add)
	}
	slices.SortStableFunc(out, func(a, b Step) int { return slices.Index(order, a.Kind) - slices.Index(order, b.Kind) })
	return out
}

type adder func(kind Kind, unit, form string, args ...any)

// hung tells what hangs where.
func hung(old, u *rig.Unit, add adder) {
	name := u.Name.Name
	switch {
	case old.Name.Name == "":
		add(Hang, name, "hang %s, a %s%s", name, u.TypeName.Name, at(u))
		return
	case old.TypeName.Name != u.TypeName.Name:
		add(Replace, name, "%s: take the %s out, hang a %s in its place", name, old.TypeName.Name, u.TypeName.Name)
	}
	if old.Hung != nil && u.Hung != nil && *old.Hung != *u.Hung {
		add(Move, name, "move %s from %s to %s", name, place(*old.Hung), place(*u.Hung))
	}
	if old.Aimed != nil && u.Aimed != nil && *old.Aimed != *u.Aimed {
		add(Aim, name, "aim %s at %s; it was %s", name, place(*u.Aimed), place(*old.Aimed))
	}
}

func at(u *rig.Unit) string {
	if u.Hung == nil {
		return ""
	}
	return ", at " + place(*u.Hung)
}

func place(p [3]si.Length) string { return fmt.Sprintf("%v, %v, %v", p[0], p[1], p[2]) }

// set tells what is set on the lamp itself. Another lamp comes as its last user left it.
func set(old, u *rig.Unit, add adder) {
	name := u.Name.Name
	another := old.TypeName.Name != u.TypeName.Name
	if mode := modeOf(u); mode != "" && (another || mode != modeOf(old)) {
		add(Mode, name, "set the mode of %s to %s%s", name, mode, unless(another, modeOf(old)))
	}
	if !another && old.Address == u.Address && old.Universe == u.Universe {
		return
	}
	from := ""
	if !another {
		from = fmt.Sprintf(" from %s", slot(old, u))
	}
	add(Address, name, "readdress %s%s to %s; its switches: %s", name, from, slot(u, old), Switches(u.Address))
}

// slot is an address, with its universe where that changes.
func slot(u, other *rig.Unit) string {
	if other.Universe == u.Universe || other.Universe == 0 {
		return fmt.Sprint(u.Address)
	}
	return fmt.Sprintf("%d of universe %d", u.Address, u.Universe)
}

// Switches are the nine switches of an address from the first on, 1 for one that is on.
func Switches(n int) string {
	var b strings.Builder
	for _, on := range address.Switches(n) {
		if on {
			b.WriteByte('1')
		} else {
			b.WriteByte('0')
		}
	}
	return b.String()
}

// modeOf is the name of the mode that a unit is in.
func modeOf(u *rig.Unit) string {
	if u.Type == nil || u.Mode == nil {
		return u.ModeName.Name
	}
	for i := range u.Type.Modes {
		if &u.Type.Modes[i].Value == u.Mode {
			return u.Type.Modes[i].Name
		}
	}
	return u.ModeName.Name
}

func unless(not bool, was string) string {
	if not || was == "" {
		return ""
	}
	return "; it was " + was
}

func instead(was string) string {
	if was == "" {
		return ""
	}
	return "; it came " + was
}

// feeders says of each unit what its data comes from.
func feeders(r *rig.Rig) map[string]string {
	out := map[string]string{}
	for i := range r.Lines {
		l := &r.Lines[i].Value
		from := "from the output"
		if l.From != "" {
			from = "from " + l.From
		}
		for _, u := range l.Order {
			out[u], from = from, "out of "+u
		}
	}
	return out
}

// fed tells what feeds a unit.
func fed(old, u *rig.Unit, add adder) {
	name := u.Name.Name
	from, was := plug(u), plug(old)
	lead := ""
	if l := u.Lead.Length; l > 0 && l != old.Lead.Length {
		lead = fmt.Sprintf(", with a lead of %v", l)
	}
	if from != "" && (from != was || lead != "") {
		before := ""
		if was != "" && was != from {
			before = "; it was " + was
		}
		add(Power, name, "plug %s into %s%s%s", name, from, lead, before)
	}
}

func plug(u *rig.Unit) string {
	switch {
	case u.FedBy.Name != "":
		return u.FedBy.Name
	case u.Circuit.Name != "":
		return "an outlet of circuit " + u.Circuit.Name
	}
	return ""
}
