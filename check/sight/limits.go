// Package sight checks flashing as every eye sees it: give [Family] to a run of
// package check. Package check/flash counts; this one knows the room.
//
// The model: surfaces are cut into pieces whose luminance is linear in the
// drives; each piece's flashes are found once, since a matt piece looks the same
// from everywhere. An eye may turn anywhere: for each field of 10° the areas of
// pieces and lenses that flash together are added, and the worst second is told.
// Units that flash by themselves are taken in the worst phase. Apart from all
// eyes, the flashes of all units together are counted.
//
// Sources: WCAG 2.2 SC 2.3.1, ITU-R BT.1702-3 (rules for screens, taken for a
// stage), HSE HSG195 as quoted.
//
// It does not see: stripes and other patterns, haze, gauze, shiny surfaces,
// people who stand in the way, phones and projections.
package sight

import (
	"lampblack/check/finding"
	"lampblack/check/subject"
)

// Family looks at flashing.
var Family = subject.NewFamily(open, table...)

// limits is one run over the family's table.
type limits struct {
	*subject.Run
	scene *scene
}

func open(r *subject.Run) *limits {
	l := &limits{Run: r}
	l.scene = l.sceneOf()
	return l
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
