package sheet

import (
	"context"
	"fmt"
	"strings"

	"lampblack/rig"
	"lampblack/sheet/typeset"
	"lampblack/web/page"
)

// hookup is by system: which slots do what, for who lights lamps from any desk.
func hookup(_ context.Context, s *Subject) ([]typeset.Block, error) {
	r := s.Show.Rig
	t := &typeset.Table{Columns: []typeset.Column{{Head: "Unit", Bold: true}, {Head: "Universe", Right: true}, {Head: "Slot and what it does", Grow: true}, {Head: "Circuit"}}}
	for _, name := range page.SystemNames(r) {
		units := page.UnitsIn(r, name)
		t.Rows = append(t.Rows, over(fmt.Sprintf("%s: %d", name, len(units))))
		for _, i := range units {
			u := &r.Units[i]
			t.Rows = append(t.Rows, row(u.Name.Name, fmt.Sprint(u.Universe), slotsInWords(u), page.Feeder(r, i)))
		}
	}
	return []typeset.Block{t, words("A unit that belongs to two systems stands in both. Slots are those of the universe, and not of the lamp's own table."), boxed("A slot that is not named here stays at the value that the patch gives it: other values may start programs, sound control or a strobe.")}, nil
}

// slotsInWords is what the slots of a unit do, by their numbers in the universe.
func slotsInWords(u *rig.Unit) string {
	if u.Mode == nil {
		return ""
	}
	var out []string
	for i := range u.Mode.Slots {
		sl := &u.Mode.Slots[i]
		n := fmt.Sprint(u.Address + sl.Coarse - 1)
		if sl.Fine > 0 {
			n += fmt.Sprintf("/%d", u.Address+sl.Fine-1)
		}
		out = append(out, strong(n)+" "+shortly(sl))
	}
	return strings.Join(out, ", ")
}

// shortly is what a slot does in a word or two.
func shortly(sl *rig.Slot) string {
	switch {
	case sl.Drives != "" && sl.Cell > 0:
		return fmt.Sprintf("%s of cell %d", sl.Drives, sl.Cell)
	case sl.Drives != "":
		return sl.Drives
	case len(sl.Dims) > 0:
		return "dims " + strings.Join(sl.Dims, " and ")
	case sl.Idle != "":
		return fmt.Sprintf("%s (stays at %d)", sl.Idle, sl.Set)
	}
	for i := range sl.Ranges {
		if a := sl.Ranges[i].Does; a == rig.Open || a == rig.Nothing {
			return fmt.Sprintf("%s (rests at %d)", strings.SplitN(string(sl.Ranges[i].Meaning()), ",", 2)[0], sl.Rest())
		}
	}
	return page.SlotInWords(sl)
}
