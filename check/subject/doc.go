// Package subject holds what the families of limits share: [Of] makes a [Subject]
// of a show, [TraceOf] follows its light over time, and a [Run] takes what a
// [Family] finds.
//
//	Subject ── Light, At ──▶ Trace ──┬─▶ dose    sums over corners
//	(a show, an evening, a desk)     ├─▶ sight   flashes of pieces and lenses
//	                                 ├─▶ dark    spans without light
//	                                 └─▶ slots   values in ranges
//
// What changes over time is seen through the trace: the subject's light sampled
// at 1 ms wherever something moves and kept as corners of straight lines, so
// that doses are sums over corners and extremes stand at corners.
//
// It does not see what happens between two samples where a subject says that
// nothing moves, nor frames that are lost on the wire, in whose place the units
// hold the light of the one before.
package subject
