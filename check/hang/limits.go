// Package hang checks what hangs, stands, burns and trips, as far as figures can say it: give [Family] to a
// run of package check. [Questions] are what figures cannot say, for the check lists.
//
// The model: what hangs on a support is the sum of its units' weights; a stand tips when the middle of all
// weight leaves the polygon of its feet, h high over the floor:
//
//	tilt angle = atan(r/h), side pull at the top = weight · r / height,
//	r = radius of the feet · cos(180°/feet)
//
// its own weight taken in the lower third, ballast on the floor. Units are points where they hang, less
// half of their greatest size toward people and things.
//
// Sources: IBC 1003.3.1 (headroom 80 in), IEC 60529 (IP code), IEC 60598-1 (portable lamps stand at a tilt of
// 6°) and EN ISO 13732-1 (hot surfaces), both from memory; makers' own distances; the rest is common
// practice or this tool's choice, as each finding says.
//
// Outdoors a strong breeze pushes what stands. It does not see: what points in a building carry, clamps, ropes,
// floors, gusts, people who lean. It never says that anything is safe: a competent person looks at all that
// hangs over people.
package hang

import (
	"lampblack/check/finding"
	"lampblack/check/subject"
)

// limits is one run over the family's table.
type limits struct{ *subject.Run }

// Family looks at what hangs and stands.
var Family = subject.NewFamily(func(r *subject.Run) *limits { return &limits{r} }, table...)

var table = []subject.Limit[*limits]{
	{Measure: (*limits).loads, Tells: finding.Tells{"hang-load": "weight on a bar, a stand or a tree against its rated load"}},
	{Measure: (*limits).tips, Tells: finding.Tells{"hang-tip": "how easily a stand tips"}},
	{Measure: (*limits).bonds, Tells: finding.Tells{"hang-bond": "a unit overhead without a second suspension"}},
	{Measure: (*limits).heads, Tells: finding.Tells{"hang-head": "headroom below a unit over a way or a seat"}},
	{Measure: (*limits).misplaced, Tells: finding.Tells{"hang-place": "a lamp where it cannot be"}},
	{Measure: (*limits).ways, Tells: finding.Tells{"hang-way": "a stand or a unit on the floor where people walk"}},
	{Measure: (*limits).seats},
	{Measure: (*limits).burning, Tells: finding.Tells{
		"burn-things": "a unit nearer to what burns than its maker allows",
		"burn-lit":    "a unit nearer to what it lights than its maker allows",
	}},
	{Measure: (*limits).touched, Tells: finding.Tells{"burn-touch": "a hot housing in reach"}},
	{Measure: (*limits).wet, Tells: finding.Tells{"wet-housing": "a housing outdoors that keeps out no water"}},
}
