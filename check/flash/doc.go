// Package flash counts flashes in light that is known over time: [General] and
// [RedFlashes] find those of one spot, [Count] the worst second of several.
//
// It knows nothing of lamps. Its input is the colour of spots (pieces of what
// an eye sees) over time, and the solid angle of each; its output is the worst
// second of the whole, with the number of flashes in it. The counting follows
// WCAG 2.2 success criterion 2.3.1 with its thresholds, and ITU-R BT.1702-3:
//
//   - A change counts when luminance rises or falls by at least 20 cd/m2 while
//     the darker state is below 160 cd/m2; above that BT.1702-3 asks for a
//     Michelson contrast of 1/17. (WCAG's 10 % of, and 80 % of, a relative
//     luminance of 1 are the same on a white of 200 cd/m2.)
//   - A red change counts when one state is a saturated red, R/(R+G+B) >= 0.8,
//     and the two differ by more than 0.2 in CIE 1976 u'v'.
//   - A flash is a pair of opposing changes. It is dated at its leading edge,
//     the instant at which the first change is half done. The second must come
//     within a second, or it is a change of light and no flash.
//   - Flashes of different spots are one flash of a larger area when their
//     leading edges lie within 20 ms, one frame at 50 Hz. Areas add up, and
//     the flash counts when they exceed a quarter of a 10 degree field.
//   - The count is the most leading edges in any second. A flash that begins
//     in the second and ends after it is counted: the strict reading. Flashes
//     that begin with a rise, and flashes that begin with a fall, are counted
//     apart and the larger count holds.
//
// A [Train] is a lamp that flashes by itself. Its phase is not known, so it
// counts with the most edges that any phase puts into a second, and never
// coincides with anything else.
//
// It does not see spatial patterns (stripes, which BT.1702-3 limits too), nor
// what lies outside of the spots that it is given.
package flash
