// Package suspect finds what is at fault on a rig: a cable, a plug, a unit, an address, a breaker.
//
//	Find(rig, Question{Seen: …, Given: …}) ──▶ *Verdict   what it may be, how likely, what to do next
//	Tree(rig, Question) ──▶ []Branch                      the steps on paper, with where each answer leads
//
// # What is known
//
// Suspects are the parts of the rig's own chains: of every data line its output, cables, units,
// adaptors and terminator, of the supply its breakers, residual current devices, leads and outlets, of
// every unit its address, mode and itself. Each has odds, ways in which it shows (a cable that is
// broken leaves all units behind it without data; what they then do, their type says), and something
// that mends it. What people saw is held against the ways (Bayes): a unit that was not looked at says
// nothing, and one report in twenty is wrong.
//
// The odds, the minutes and how far a look can be trusted are common practice, no source: cables and
// settings fail oftenest. An order of steps that is a little off costs some minutes and finds the same.
//
// # What is done next
//
// A step is a look (an answer that tells suspects apart) or a mend (which, when it was that, ends the
// search). It costs minutes, and walks, and a ladder where the unit hangs high. Looks are ranked by the
// information that they are expected to give for their cost; of the best the one is taken after which
// the whole search is expected to take least, seen three steps ahead and then by mends alone, in the
// order of likelihood over cost, which is the least that mends alone can take (D. Heckerman, J. S.
// Breese and K. Rommelse, Decision-theoretic troubleshooting, 1995, from memory).
//
// # What it does not know
//
// It takes one thing to be at fault. What no single suspect explains is told as that, with the pairs
// that would; a fault that another hides is found after the first is mended, when the search begins
// anew with what is still wrong. It sees nothing of what is inside a unit or a wall: whoever opens
// those is a competent person.
package suspect
