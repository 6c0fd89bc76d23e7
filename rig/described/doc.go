// Package described goes between fixture types and the descriptions of lamps that makers give out by DIN
// SPEC 15800. [Read] makes a type of a description, with a note for each doubt; [Write] makes a
// description of a type. [Units] makes units of a scene by DIN SPEC 15801.
//
// A description says more than a type on some things and less on others:
//
//	description                          type
//	Beam, wherever references put it     cell; openings at one place are one cell
//	Dimmer over channels with colour     dims: all, or the emitters that a relation multiplies
//	ColorAdd_…, Dimmer alone             drives
//	physical values, sets, profiles      curve
//	Shutter…, …Strobe…, NoFeature        open, closed, flash, nothing
//	what takes over colours, or is not known    never
//	mode master                          its values that switch on something else: never
//	lumens of the beam · Y of a colour   output
//	spectral irradiance                  spectrum; output of ultraviolet, if it is that at 1 m
//
// What a description leaves out becomes the usual light of such lamps, in wide intervals, with a note.
// What a type has and no description can say (intervals, inrush and leakage current, what happens
// when data stops) goes into its text for people and is lost to other programs; Read finds the intervals of
// outputs there again.
//
// What is kept out of is the safe reading: no show enters it. A description may be wrong, or of another
// batch, as a manual may.
package described
