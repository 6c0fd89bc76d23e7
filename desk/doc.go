// Package desk fits a show into a small lighting desk that is already on site:
// one that stores whole states as numbered scenes and recalls them by MIDI.
// [Read] reads what the desk can do, [Reduce] makes a [Plan] of a show for it;
// the plan writes what to program ([Plan.WriteSheet]), the recalls
// ([Plan.MIDI]) and what is lost ([Plan.WriteReport]).
//
// What a desk holds is the user's data, a file of its own beside the show:
//
//	name: hall desk
//	slots: 24                # a scene stores this many slots
//	patch: any               # each may be sent to any addresses; or: fixed
//	scenes: 48
//	banks: 6                 # of 8 scenes
//	recalled by:
//	  - {note: 36, to: 75, channel: 1, scene: 1}   # 40 notes, 40 scenes
//	fade: {kind: none}       # or: one time, or: each scene; shortest, longest
//	shortest gap: 40 ms      # between two recalls
//	latency: 25 ms to 35 ms  # from the last byte of the recall to the light
//	                         # (instead of the show's own delay of light)
//
// # What Reduce does
//
// The score becomes demands: whole states, and recalls of them in time (a bump
// is two: there and back). Harm is what the audience would see: the CIEDE2000
// difference of everything in view, light and glow together by the room's
// transport, a thing counted by the square root of the solid angle that it
// fills, so that a small glowing fish on a large dark stage counts. Then
//
//  0. light that moves by itself becomes up to six states of its cue, each recalled for
//     as long as it is the nearest;
//  1. states that the eye cannot tell apart become one;
//  2. of the others, the scenes that cost the least harm, each second on stage
//     counted, are chosen by solving the p-median problem (k-medoids) exactly,
//     by branch and bound over a Lagrangian relaxation;
//  3. the scenes that are left go to steps of fades that the desk cannot do,
//     as many to each as make the total of 2 and 3 least: dynamic programming
//     for every number of scenes kept, then exchanges of single scenes;
//  4. the slots are shared out: addresses are grouped by a second p-median, so
//     that each group has one slot; or whole units are, in groups of one type
//     and mode (p-median within a type, a knapsack over types). Without a patch
//     the units are then addressed anew;
//  5. units that get no slots are switched off: where they stand, they would
//     follow what is meant for others;
//  6. scenes are placed so that the notes reach those that the run needs, in
//     the order of their first use;
//  7. recalls are moved ahead by the latency, and by the desk's own fade where a
//     change has to be over on its moment, and kept the shortest gap apart;
//  8. an order to program them in is found that moves the fewest faders.
//
// All of that is done for every way to use the desk (patched by slot or by unit,
// a fade for each scene, one time for all, none), and the one that loses least is
// kept: a desk that can do more never loses more.
//
// What could not be kept is listed, worst first, with its cause. A Plan never
// drives a unit into a range that must not be entered, nor fades through one:
// harm there counts as infinite. [Plan.Played] gives the show as the desk plays it, for
// the checks.
//
// It does not see: how a desk fades between values (straight is taken), scenes
// that were on the desk before, units that only the hall knows of, or whether a
// latency that was measured once holds on the night.
package desk
