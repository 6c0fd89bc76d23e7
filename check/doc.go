// Package check measures a finished show, all units together, against
// published limits.
//
// It says what was computed, by which clause, with which assumptions, and how
// far from the limit it is. It can show that a show does not meet a limit;
// it never says that a show is lawful or safe: local codes and licensed people
// decide that.
//
// Every check adds findings to one report; the report is sorted by severity,
// identifier, time and place, so the same show gives the same list.
package check
