// Package check measures a finished show, all units together, against
// published limits: [Run] returns what it found, [Measure] does for anything
// that makes light over time in a room.
//
// It says what was computed, by which clause, with which assumptions, and how
// far from the limit it is. It can show that a show does not meet a limit;
// it never says that a show is lawful or safe: local codes and licensed people
// decide that.
//
//	                     ┌─ lines    addresses, data lines
//	                     ├─ supply   circuits, chains, surge, leakage, phases
//	                     ├─ cues     landing, density, calm, smooth fades
//	subject.Subject ──▶  ├─ slots    values that must not go out        ──▶ []finding.Finding
//	(a show, and more)   ├─ looks    goals, colours, lenses in eyes          │
//	                     ├─ sight    flashes at every eye (check/seen)       ├─▶ papers
//	                     ├─ dose     ultraviolet and blue light              └─▶ mend
//	                     └─ dark     lights up, paths, blackouts, alarm
//
// Each family is a package whose page states its model, its sources and what
// it does not see; a limit is a file of it and a row of its table. Findings are
// sorted by severity, identifier, time and place, so that the same show gives
// the same list. Signatures stand on findings, and lapse when values get worse.
package check
