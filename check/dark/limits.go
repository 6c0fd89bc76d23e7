// Package dark checks what people have to see by: give [Family] to a run of
// package check.
//
// The model: illuminance on the floor and along walked paths from the transport;
// it is dark while no piece of floor has 0.1 lx and no object glows by more than
// 0.5 cd/m². People walk where a look says so.
//
// Sources: IBC 1008.2.1, 411 and NFPA 101 (model codes; local codes differ);
// lengths of blackouts are common practice, no source.
//
// It does not see: emergency lighting, which is independent of the show, exits,
// steps, signs, glow tape, eyes that have not adapted. Local codes and licensed
// people decide.
package dark

import (
	"lampblack/check/finding"
	"lampblack/check/subject"
)

// limits is one run over the family's table.
type limits struct{ *subject.Run }

// Family looks at darkness.
var Family = subject.NewFamily(func(r *subject.Run) *limits { return &limits{r} }, table...).OfScore()

var table = []subject.Limit[*limits]{
	{Measure: (*limits).lightsUp, Tells: finding.Tells{"escape-light": "what the lights-up look gives on the floor"}},
	{Measure: (*limits).paths, Tells: finding.Tells{"path-dark": "light on a path that people walk"}},
	{Measure: (*limits).ways},
	{Measure: (*limits).narrow, Tells: finding.Tells{
		"leave-dark": "the look in which people leave",
		"way-narrow": "how wide a path is",
	}},
	{Measure: (*limits).haste, Tells: finding.Tells{"way-fast": "a performer who goes faster than people walk in the dark"}},
	{Measure: (*limits).held, Tells: finding.Tells{"way-held": "a wait while a performer is on a way"}},
	{Measure: (*limits).blackouts, Tells: finding.Tells{"blackout": "how long it is dark"}},
	{Measure: (*limits).alarm, Tells: finding.Tells{"alarm-input": "the alarm that ends the dark"}},
	{Measure: (*limits).silent, Tells: finding.Tells{"alarm-open": "an alarm contact that says nothing when its wire is cut"}},
	{Measure: (*limits).alone, Tells: finding.Tells{"alone-dark": "how long black light stands when the run has failed"}},
	{Measure: (*limits).signs, Tells: finding.Tells{"exit-sign": "an exit sign under the show's control"}},
}
