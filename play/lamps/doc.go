// Package lamps asks lamps what they say of themselves, by ANSI E1.20 (RDM): address, mode,
// temperature, hours, what is wrong. [Open] makes the data lines of an output ready to be
// asked, [Read] finds who is there and asks each, [Compare] holds that against a rig.
//
//	           ┌ widget: we search, one question after another ┐
//	line.Out ─▶│                                               │─ Line ─▶ Read ─▶ []Device ─▶ Compare
//	           └ Art-Net: the node searches, and has a table   ┘
//
// Asking takes the data line from the frames: lamps may hold, go dark or begin a program of
// their own meanwhile. So a run never does it, and nothing here is to be called while one is
// on. All waiting is bounded, and ends with the context.
//
// Nothing is set but by [Caller.SetAddress], [Caller.SetMode] and [Caller.Identify].
package lamps
