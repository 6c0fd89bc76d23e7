// Package export writes a solved show in forms that other machines read: call
// [MIDI], [QuarterFrames], [Linear], [Frames], [Cues] or [Scene], and write what
// it returns.
//
//	show.Show ─▶ bytes of a file      the same show, the same bytes
//
// Each form is a published standard's (Standard MIDI File 1.0, MIDI time code,
// SMPTE ST 12-1, DIN SPEC 15801, CSV as RFC 4180 has it) but for Frames, the
// capture form of package output. Nothing is opened and nothing checked here:
// whether a show may leave the house is for package check to say, and for who
// calls.
package export
