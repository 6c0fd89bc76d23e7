// Package show is a score on a rig in a room: [Read] reads its folder, [New]
// solves its looks into amounts of light, and [Show.At] fills the frame of any
// instant.
//
//	files, faults := show.Read(dir)
//	s, faults := show.New(ctx, files, track)
//	s.At(frame, t)
//
// A show is a folder:
//
//	show.yaml        title, soundtrack, outputs, days, signatures
//	fixtures/*.yaml  fixture types
//	rig.yaml         units, circuits, data lines
//	room.yaml        surfaces, audience, performers, painted objects
//	score.yaml       looks and cues
//
// At needs no history: the state at t is a pure
// function of the show and the time. A frame holds linear light for every
// drive of the rig, flash rates of the units' own strobes, and the slots of
// every universe:
//
//	Frame
//	  Levels   [drive]   0..1, share of the drive's full light
//	  Flash    [unit]    Hz, 0 when the unit does not flash by itself
//	  Universes[n]       number, 512 slots
//
// Looks by goal are a least-squares problem with limits, solved by Mehrotra's
// predictor and corrector (1992); colours are mixed in CIE 1976 u'v' by package
// light; how far light leads sound is after ITU-R BT.1359-1. The show does not
// see the clock, the wire, or what a unit does that its type's file leaves out.
package show
