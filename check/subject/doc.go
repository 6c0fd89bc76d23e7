// Package subject holds what the families of limits share: the [Subject] that
// they measure, the [Run] that they add findings to, the form of a [Family],
// and the [Trace].
//
//	Subject ── Light, At ──▶ Trace ──┬─▶ dose    sums over corners
//	(a show, an evening, a desk)     ├─▶ sight   flashes of pieces and lenses
//	                                 ├─▶ dark    spans without light
//	                                 └─▶ slots   values in ranges
//
// What changes over time is seen through the trace: the subject's light sampled
// at 1 ms wherever something moves and kept as corners of straight lines, so
// that doses are sums over corners and extremes stand at corners.
package subject
