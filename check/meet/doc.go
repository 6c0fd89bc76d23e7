// Package meet counts flashes where the light of several zones meets one eye. Each zone
// has a clock of its own, so nobody knows how they stand to one another: [Likely] draws
// alignments at random and tells how often the limit is broken, and [Most] returns an
// upper bound for all alignments that there are.
//
// Its input is the light that every zone throws on spots of what an eye sees, over the
// zone's own line; the rules, and how flashes of spots join, are those of package flash.
// It knows nothing of rigs and rooms, and is pure: the same eye and seed have the same
// figures.
//
// # The bound
//
// Most takes light as straight lines between whole milliseconds, as the traces of package
// check/subject are made, and zones that stand to one another by any part of one. For two
// zones it looks for the worst second among all pairs of instants at which it could begin
// in both lines. Cells of such pairs are bounded from above in three ways, the cheapest
// first, and the cell with the highest bound is cut into smaller ones until nothing is
// above what was met, or a cell of the last level holds its bound, or the work allowed is
// done. What is then the highest bound is the answer, so it is one in each case.
//
//   - Apart. A rise of the sum by a step takes a rise of one zone by some share of it, or
//     of the other by what is left, in the same time. So the rises of the sum are at most
//     the disjoint rises of one by the share and of the other by the rest, whatever the
//     share; so are the falls. Flashes that begin with rises have a fall between each
//     two.
//   - Tube. The cell's windows are gone through in steps of its width w. In a step, each
//     zone is somewhere in a stretch of 2w of its line, so the sum lies between the sums
//     of least and largest values. A change is taken as early as it can be complete: from
//     the lowest the sum can have had to the highest it can have now, by no more than the
//     zones rose together, and with no more changes than straight lines leave corners
//     for. As each condition is only easier the earlier the changes before it were, no
//     alignment in the cell is ahead of this one, and none has more.
//   - Stairs. In the smallest cells, alignments between two whole milliseconds are passed
//     by one way of values that has all of theirs in their order: see stairs.go.
//
// Flashes within 20 ms of one another are one in package flash, which the bound uses only
// to stop at 50 in a second. Of three zones and more only "apart" is known, with an equal
// share for each; of red flashes, how often each zone's colour moves far enough
// ([Options.Rule] with a ratio), at alignments of whole milliseconds. For several spots
// the bounds of each are joined by their areas, which is exact for one spot and wide for
// many that flash together: give the few spots that matter.
package meet
