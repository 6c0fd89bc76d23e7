package sheet

import (
	"cmp"
	"context"
	"fmt"
	"slices"
	"strings"

	"lampblack/rig"
	"lampblack/rig/address"
	"lampblack/sheet/typeset"
	"lampblack/si"
)

// universeSlots is how many slots a universe has (ANSI E1.11).
const universeSlots = 512

// byAddress are the units in the order of their slots.
func byAddress(r *rig.Rig) []int {
	out := make([]int, len(r.Units))
	for i := range out {
		out[i] = i
	}
	slices.SortStableFunc(out, func(a, b int) int {
		x, y := &r.Units[a], &r.Units[b]
		return cmp.Or(cmp.Compare(x.Universe, y.Universe), cmp.Compare(x.Address, y.Address))
	})
	return out
}

// patchList is by address, with what a lamp without a display wants to have switched on.
func patchList(_ context.Context, s *Subject) ([]typeset.Block, error) {
	r := s.Show.Rig
	t := &typeset.Table{Columns: []typeset.Column{
		{Head: "Slots", Right: true, Bold: true}, {Head: "Unit", Bold: true, Names: true}, {Head: "Type"}, {Head: "Mode"}, {Head: "Data line"},
		{Head: "Switches on"}, {Head: "Set", Least: 3},
	}}
	universe := 0
	for _, i := range byAddress(r) {
		u := &r.Units[i]
		if u.Universe != universe {
			universe = u.Universe
			t.Rows = append(t.Rows, over(fmt.Sprintf("Universe %d: %d of %d slots used", universe, used(r, universe), universeSlots)))
		}
		t.Rows = append(t.Rows, row(slotsOf(u), u.Name.Name, typeName(u), modeName(u), u.Line.Name, switches(u.Address), typeset.Box))
	}
	t.Rows = append(t.Rows, sum("", si.Count(len(r.Units), "unit", "units")))
	out := []typeset.Block{t, words("Set the mode first, then the address; look that the lamp's display says both. Switch n stands for 2 to the power n-1: those that are on add up to the address (a few lamps count from 0, and want one less). Try every lamp alone: two at one address look right together.")}
	if meet := overlaps(r); meet != "" {
		out = append(out, boxed(strong("These share slots, and do what one another is told:")+" "+meet))
	}
	return out, nil
}

func row(cells ...string) typeset.Row { return typeset.Row{Cells: cells} }
func sum(cells ...string) typeset.Row { return typeset.Row{Cells: cells, Bold: true} }
func over(text string) typeset.Row    { return typeset.Row{Cells: []string{text}, Head: true} }

// strong makes words bold.
func strong(text string) string { return typeset.Strong(text) }

func words(text string) *typeset.Words { return &typeset.Words{Text: text} }
func boxed(text string) *typeset.Words { return &typeset.Words{Text: text, Boxed: true} }

// last is the last slot that a unit listens to.
func last(u *rig.Unit) int {
	if u.Mode == nil {
		return u.Address
	}
	return u.Address + max(u.Mode.Footprint, 1) - 1
}

// slotsOf is "1–10", or "7" for one slot.
func slotsOf(u *rig.Unit) string {
	if n := last(u); n > u.Address {
		return fmt.Sprintf("%d–%d", u.Address, n)
	}
	return fmt.Sprint(u.Address)
}

func typeName(u *rig.Unit) string {
	if u.Type == nil {
		return u.TypeName.Name
	}
	return u.Type.Name
}

// modeName names the mode, where the type has several, and its length.
func modeName(u *rig.Unit) string {
	if u.Mode == nil {
		return u.ModeName.Name
	}
	slots := si.Count(u.Mode.Footprint, "slot", "slots")
	name := u.ModeName.Name
	if name == "" && u.Type != nil {
		for i := range u.Type.Modes {
			if &u.Type.Modes[i].Value == u.Mode {
				name = u.Type.Modes[i].Name
			}
		}
	}
	if name == "" || strings.Contains(name, "slot") {
		return cmp.Or(name, slots)
	}
	return name + ", " + slots
}

// used counts the slots of a universe that any unit listens to.
func used(r *rig.Rig, universe int) int {
	var taken [universeSlots + 1]bool
	for i := range r.Units {
		if u := &r.Units[i]; u.Universe == universe {
			for n := max(u.Address, 1); n <= min(last(u), universeSlots); n++ {
				taken[n] = true
			}
		}
	}
	n := 0
	for _, is := range taken {
		if is {
			n++
		}
	}
	return n
}

// switches lists those that are on.
func switches(at int) string {
	var on []string
	for i, is := range address.Switches(at) {
		if is {
			on = append(on, fmt.Sprint(i+1))
		}
	}
	return strings.Join(on, " ")
}

// overlaps names the units that share slots with others.
func overlaps(r *rig.Rig) string {
	var out []string
	r.Meet(func(a, b rig.Slots) {
		out = append(out, r.Units[a.Unit].Name.Name+" and "+r.Units[b.Unit].Name.Name)
	})
	const most = 12
	if n := len(out); n > most {
		out = append(out[:most], fmt.Sprintf("and %d more", n-most))
	}
	return strings.Join(out, "; ")
}
