// Package hand is what a person's hand holds over a running show: units set to a colour
// or a level, a look brought up, trims for tonight, units that are out, one lamp alone for
// focusing. A [Hand] takes orders from any goroutine, and sends what they come to, as a
// [Mix], to the run; there a [Mixer], which belongs to the run's loop, lays it over each frame.
//
//	order ─▶ State.After ─▶ prepare (colours, goals: some ms) ─▶ Mix ─▶ Mixer.Over(frame)
//	            └─▶ tonight.yaml                              a channel    44 times a second
//
// A state is a value, and what is laid over a frame is a pure function of the states that
// came and of when. Where the hand holds nothing, the frame is not touched to the last bit.
//
// Lights up win over the hand, the hand over the show. The hand itself is held in two
// ways. It cannot flash: where its orders would have a lamp go up and down more than
// three times in a second, the next begins later ([mostFlashes]). And black light goes no
// higher by hand than a ceiling ([Hand.Ceilings]), unless the show itself has it higher.
package hand
