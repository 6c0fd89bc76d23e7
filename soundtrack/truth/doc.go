// Package truth makes sound whose moments are known, and scores what a
// listener found in it: [Strikes], [Groove.Play], [Collage] and [Compose] make it,
// [Match] and [Continuity] score. It serves the training and the tests of soundtrack;
// nothing that runs a show imports it.
//
// Truth comes from four places: MIDI files rendered by the program fluidsynth
// (the notes' times are in the file), scores that this package composes and has
// rendered in the same way, sounds that it synthesises itself, and collages of
// these that are laid out like the soundtrack of a play. All of it follows from
// a seed. The ranges that seeds draw from, of level, length, pitch and tempo, are made up
// (no source).
package truth
