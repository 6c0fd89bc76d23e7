// Package check measures a finished show, all units together, against
// published limits.
//
// It says what was computed, by which clause, with which assumptions, and how
// far from the limit it is. It can show that a show does not meet a limit;
// it never says that a show is lawful or safe: local codes and licensed people
// decide that.
//
//	addresses   slots that two units share
//	lines       data lines: loads, length, terminator, what units do without data
//	supply      circuits and link chains: VA, surge, leakage, voltage drop, phases
//	cues        landing, density, calm, what is never seen, light and sound at a seat
//	slots       values in ranges that must not be entered
//	intent      goals missed, colours out of reach, lenses in audience eyes
//	flash       general and red flashes at every eye, and over all units
//	ultraviolet UV-A and weighted doses by day, distances to keep
//	blueLight   radiance of lenses, exposure of the day
//	darkness    lights up, walked paths, blackouts, alarm
//
// What changes over time is seen through a trace: the show's light sampled at
// 1 ms wherever something moves and kept as corners of straight lines, so that
// doses are sums over corners and extremes stand at corners. Flashes are
// counted by package check/flash, which knows nothing of lamps.
//
// Every check adds findings to one report; the report is sorted by severity,
// identifier, time and place, so the same show gives the same list. A finding
// is told by its identifier and place; both are promises. Intervals carry
// through: the value of a finding is the bad end of its interval.
package check
