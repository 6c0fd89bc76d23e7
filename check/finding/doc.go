// Package finding holds what checks find: [WriteText] tells a list of findings
// to a person, [WriteJSON], [WriteSARIF] and [WriteJUnit] to programs, and
// [Worse] compares two lists.
//
// A [Finding] is told by its identifier and place; both are promises. Intervals
// carry through: its value is the bad end of its interval. A [Report] collects
// findings and bounds them.
package finding
