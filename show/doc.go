// Package show is a score on a rig in a room: looks solved into amounts of
// light, and the frame at any instant.
//
// A show is a folder:
//
//	show.yaml        title, soundtrack, outputs, days, signatures
//	fixtures/*.yaml  fixture types
//	rig.yaml         units, circuits, data lines
//	room.yaml        surfaces, audience, performers, painted objects
//	score.yaml       looks and cues
//
// At(dst, t) fills a Frame and needs no history: the state at t is a pure
// function of the show and the time. A frame holds linear light for every
// drive of the rig, flash rates of the units' own strobes, and the slots of
// every universe:
//
//	Frame
//	  Levels   [drive]   0..1, share of the drive's full light
//	  Flash    [unit]    Hz, 0 when the unit does not flash by itself
//	  Universes[n]       number, 512 slots
package show
