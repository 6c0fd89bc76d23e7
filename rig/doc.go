// Package rig holds what hangs in the room: fixture types, units, the circuits
// that feed them and the data lines that reach them. [ReadType] reads a fixture type,
// [Read] the rig that uses it, [NewEncoder] makes slots of light and [NewDecoder] light
// of slots.
//
// A fixture type (fixtures/NAME.yaml) says what its emitters are, and for each
// mode what every slot does. Units (rig.yaml) say which type hangs where, aimed
// at what, and at which address. Positions are in metres from the middle of
// the front edge of the stage, on the floor: x to the right as the audience
// sees it, y away from the audience, z up; the audience has negative y.
//
// A Drive is one amount of light that can be set alone: an emitter of a unit,
// in one cell or in several that share a slot. Everything downstream (looks,
// transport, checks) speaks of drives, as linear light from 0 to 1; Encode
// turns the drives of a unit into slots: master, curves, dead bands, 16-bit
// pairs, and ranges that must never be entered.
//
//	unit     ┌ emitter red,  cell 1 ── drive 0 ── slot 2 ─┐
//	         ├ emitter red,  cell 2 ── drive 1 ── slot 3 ─┼─ × slot 1 (master)
//	         └ emitter blue, both   ── drive 2 ── slot 4 ─┘
//
// What a lamp really does with a slot is what its manual says, or a measurement; a
// unit's own fades, its warming up and its ageing are not in the model.
package rig
