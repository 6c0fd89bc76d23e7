// Package trigger listens to what starts things: [Open] opens the triggers of a
// list, [Set.Fired] delivers those that fire, and [Set.Status] says how each stands.
//
//	keys, page ─▶ Press, Type ─┐
//	OSC, E1.31, Art-Net ─ UDP ─┤
//	MIDI notes, pipes ─ bytes ─┼─▶ edges ─▶ inbox ─▶ Rules ─▶ Fired, Tally
//	control pins, GPIO ─ levels┘   one goroutine      pure
//	                               for each place
//
// A source turns what comes into edges: a contact opens or closes, or is pressed.
// [Rules] judge them, a pure function of edges and time. One [Tally] for each place
// that has a way in and a way out counts who is inside.
//
// What is lost is told within a second, with what to do, and looked for until it is
// back. Packets and messages are hostile: what cannot be read is counted and
// forgotten, memory is bounded, and a flood of them leaves the processor to the
// light.
package trigger
