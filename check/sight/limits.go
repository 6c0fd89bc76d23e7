// Package sight checks flashing as every eye sees it: give [Family] to a run of
// package check. Package check/seen has the model, and what it does not see; this one
// holds it against the limits and says what would help.
//
// Sources: WCAG 2.2 SC 2.3.1, ITU-R BT.1702-3 (rules for screens, taken for a
// stage), HSE HSG195 as quoted.
package sight

import (
	"lampblack/check/finding"
	"lampblack/check/seen"
	"lampblack/check/subject"
)

// Family looks at flashing.
var Family = subject.NewFamily(open, table...)

// limits is one run over the family's table.
type limits struct {
	*subject.Run
	scene *seen.Scene
}

func open(r *subject.Run) *limits {
	return &limits{r, seen.New(r.Transport(), r.Rig()).Over(&r.Trace().Light)}
}

var table = []subject.Limit[*limits]{
	{Measure: (*limits).union, Tells: finding.Tells{
		"flash-union": "flashes in one second over all units together",
		"flash-long":  "flashing goes on for long",
	}},
	{Measure: (*limits).eyes, Tells: finding.Tells{
		"flash-rate": "general flashes in one second, as one eye sees them",
		"flash-red":  "red flashes in one second, as one eye sees them",
	}},
}
