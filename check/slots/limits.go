// Package slots checks the values that go out: give [Family] to a run of package
// check.
//
// The model: every frame that a run would send is looked at, twice for each of 44
// a second while something moves; a slot may not stand in a range that its type's
// table says never to enter, nor where the unit flashes unasked, and a fading
// slot may not have to leap over such a range; a fan may not stand while its unit
// shines.
//
// Source: the fixture type's own slot table. How often frames go out is that of
// ANSI E1.11 for a full universe.
//
// It does not see what the maker's
// manual left out.
package slots

import (
	"lampblack/check/finding"
	"lampblack/check/subject"
)

// limits is one run over the family's table.
type limits struct{ *subject.Run }

// Family looks at the slots.
var Family = subject.NewFamily(func(r *subject.Run) *limits { return &limits{r} }, subject.Limit[*limits]{
	Measure: (*limits).slots, Tells: finding.Tells{
		"fade-crosses": "a fade passes values at which the unit strobes or runs a program",
		"slot-never":   "a slot stands in a range that is never to be entered",
	},
}, subject.Limit[*limits]{
	Measure: (*limits).closed, Tells: finding.Tells{"slot-closed": "a unit is asked for light while a slot keeps it closed"},
}, subject.Limit[*limits]{
	Measure: (*limits).fans, Tells: finding.Tells{
		"slot-fan": "a unit shines brightly while its slot keeps the fan off",
	},
})
