// Package alarm listens to what may say that there is danger: [Listen] opens the inputs of a
// list, [Watch.Changes] tells when an alarm comes and when it was reset, and [Watch.State]
// how each input stands.
//
//	contact, OSC, MIDI, slot ─▶ says alarm while it is closed ─┐
//	key, bare message        ─▶ says alarm once                ├─▶ stands ── Reset ─▶ over
//	heartbeat                ─▶ says alarm while none comes    │      ▲          │
//	a device that is gone    ─▶ says alarm where that is wished┘      └ refused ─┘ while one
//	                                                                    still says alarm
//
// An alarm that has come stands until a person resets it, whatever the input says meanwhile:
// a contact that opens again ends nothing. It knows nothing of a show: it needs the lines that
// name its inputs (package line), so that a process which owns the wire and computes no light
// can listen as well.
//
// Every input is told within a second when its device is gone, with what to do, and is looked
// for until it is back. A normally closed contact says alarm when its wire is cut.
//
// It is no fire alarm system, and no emergency lighting hangs on it: those are independent of
// every program, and for licensed people.
package alarm
