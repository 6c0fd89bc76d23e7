// Package retake finds where each instant of a track went when the track was
// edited: leader changed, pieces cut, inserted, repeated, swapped, the whole
// played faster or slower, louder, coded, filtered. [Take] makes a print of the old track,
// [Align] reads the new one against it, and [Map.At] tells where an instant is now, and how
// sure that is.
//
// # The print of a track
//
// The old track need not be kept: a [Print] of 0.8 kB a second is. It holds, of
// the mono mix brought to 5 kHz,
//
//   - 40 times a second a code of 32 bits: whether the energy of each of 33 bands
//     from 250 Hz to 2 kHz falls or rises towards the next band, against the frame
//     before (J. Haitsma and T. Kalker, "A highly robust audio fingerprinting
//     system", ISMIR 2002). Codes find what belongs together.
//   - the sign of every sample. Signs place it, to a fraction of a sample.
//   - whether each frame is quiet, since silence resembles all other silence.
//
// # The way to a map
//
//	codes of the new track ─index─▶ blocks of 2 s that are alike
//	   ─chain─▶ runs on a line old = a + s·new
//	   ─signs─▶ the line to 0.1 ms, and where exactly the run begins and ends
//	   ─choose─▶ each instant of the new track comes from one place at most
//
//	old  │ A │  B  │ C │ D │          Runs are the slanted strokes: A and C D
//	       ╲       ╱  ╱               lie on lines of their own, B was cut,
//	new  │ new │ A │ C │ D │          and what is on no line is new.
//
// Where pitch and speed go together, as on a tape, new frames are coded with
// their bands moved by -3 to 3 %, and the signs are read at the run's own speed.
//
// What is promised: a place is given only where the sound itself was found, or
// where silence lies between such places in both tracks; all else is named as
// cut. Sound that the old track holds more than once has a low confidence
// wherever its context does not tell which is meant. Another performance of the
// same piece is not found.
package retake
