// Package cabling plans the cables of a rig: which unit hangs behind which on the data lines, what is
// plugged in where, how long each cable is, and what must be carried in.
//
//	Lines(rig, Options{Desk: …})    ──▶ *Lines     by universe: order, lengths, splitters, terminators
//	Circuits(rig, Options{…})       ──▶ *Circuits  what feeds what: circuit, chain, lead
//	Load(rig, lines, circuits, …)   ──▶ []Item     units, cables by kind and length, what else
//
// # The model of a run
//
// Cables lie along walls and bars, that is along the room's axes. Between two places over head height
// (2.3 m) they stay up there; between two that are less than a metre apart, as on one stand, they go
// straight; else they go down to the floor, along it, and up again. To that comes a tenth, and half a
// metre at each end so that a unit can be turned (common practice, no source). Each run is one cable
// from the stock; a run that is longer than the longest is joined, and each joint counts as 5 m more.
//
// # What is sought
//
// Chains that start at a source (an output, an outlet) and go through all units, at the least cost in
// metres: what the runs add up to, and what else is worth metres (a leg of a splitter, unbalanced
// circuits). For rigs of usual size (14 units of a universe, or on two circuits, 12 on three) the least
// is found by going through all sets of units (M. Held and R. M. Karp, A dynamic programming approach
// to sequencing problems, 1962, from memory) and all ways to share them out; larger ones are built by insertion and
// improved by taking neighbours out and putting them back, and the plan says how far from the least it
// may be: no plan is shorter than the trees that join all places and avoid crowded ones (M. Held and
// R. M. Karp, The traveling-salesman problem and minimum spanning trees, 1970, from memory).
//
// A plan shows what could not work; a person who knows the place decides, and a competent person tests
// the supply.
package cabling
