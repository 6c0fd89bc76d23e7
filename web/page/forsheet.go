package page

import (
	"lampblack/rig"
	"lampblack/score"
	"lampblack/show"
)

// Aims is Book.Aims of a show of which nothing else is wanted.
func Aims(s *show.Show) []Aim { return (&Book{show: s}).Aims() }

// Asks says all that a look of a score asks for, nil for a look that it does not have.
func Asks(sc *score.Score, look string) []string {
	if l := sc.Looks.Get(look); l != nil {
		return asks(sc, look, l)
	}
	return nil
}

// SlotInWords says what a slot does.
func SlotInWords(s *rig.Slot) string { return slotInWords(s) }

// Feeder is the circuit at the head of a unit's link chain, "" when there is none.
func Feeder(r *rig.Rig, unit int) string { return feeder(r, unit) }

// SystemNames lists the systems of a rig, [NoSystem] for the units that have none.
func SystemNames(r *rig.Rig) []string { return systemNames(r) }

// UnitsIn lists the units of a system.
func UnitsIn(r *rig.Rig, system string) []int { return unitsOf(r, system) }
