// Package looks checks each look against what it asks for: give [Family] to a run
// of package check.
//
// The model: the light that the units give after their slots are rounded is
// carried into the room, and compared with the goals that the score gives; unlike
// units asked for one colour are compared in CIE 1976 u'v'; a lens is in an eye
// when it is lit, near the gaze and not masked.
//
// Sources: the show's own score; CIE 15 for u'v'; what lies apart enough to be
// seen, and the limits of luminance and angle for a lens in an eye, are common
// practice or this tool's choice.
//
// It does not see: haze, shiny surfaces, faces that turn away, costumes but of those who carry what glows.
package looks

import (
	"time"

	"lampblack/check/finding"
	"lampblack/check/subject"
)

// limits is one run over the family's table.
type limits struct{ *subject.Run }

// Family looks at the looks of a score.
var Family = subject.NewFamily(func(r *subject.Run) *limits { return &limits{r} }, table...).OfScore()

var table = []subject.Limit[*limits]{
	{Measure: each((*limits).misses), Tells: finding.Tells{
		"glow-low":        "an object glows less over its background than was asked for",
		"goal-missed":     "a look cannot be had as it was asked for",
		"spill-on-black":  "visible light falls where the look wants darkness",
		"uv-look-ceiling": "a look's own limit of ultraviolet at the eyes",
	}},
	{Measure: each((*limits).strobes), Tells: finding.Tells{"strobe-unable": "a look asks a unit to flash that cannot, or not at that rate"}},
	{Measure: each((*limits).colours), Tells: finding.Tells{"colour-unmatched": "a colour that a unit cannot mix"}},
	{Measure: each((*limits).apart), Tells: finding.Tells{"colour-apart": "unlike units asked for one colour show two, since their dimmers step so coarsely"}},
	{Measure: each((*limits).slotless), Tells: finding.Tells{"slot-none": "a look asks for light that the unit's mode has no slot for"}},
	{Measure: each((*limits).unlit), Tells: finding.Tells{"unit-dark": "a unit is asked for less light than its dimmer's first step"}},
	{Measure: each((*limits).stepped), Tells: finding.Tells{"unit-steps": "a unit gives much more or less than it is asked for, as its dimmer steps so coarsely"}},
	{Measure: (*limits).unlike, Tells: finding.Tells{"unit-unlike": "a unit of a system is of another type than the others"}},
	{Measure: each((*limits).twice), Tells: finding.Tells{"look-twice": "two parts of a look for the same lamps"}},
	{Measure: (*limits).flagged, Tells: finding.Tells{"unit-flagged": "a flag that cuts off all that a unit is aimed at"}},
	{Measure: (*limits).carriers, Tells: finding.Tells{"glow-carrier": "somebody who is to be unseen is dressed in what glows"}},
	{Measure: (*limits).misplaced, Tells: finding.Tells{"glow-absent": "a look lights something that is not on stage"}},
	{Measure: (*limits).lensesInEyes, Tells: finding.Tells{"lens-in-eye": "an eye of the audience sees into a lens, or a performer from near"}},
	{Measure: (*limits).lensesBeforePerformers},
}

// each measures every look that a cue brings.
func each(measure func(r *limits, look int, from, to time.Duration, cues []string)) func(*limits) {
	return func(r *limits) {
		for i := range r.Show.Looks {
			if from, to, cues := r.Stands(i); cues != nil {
				measure(r, i, from, to, cues)
			}
		}
	}
}
