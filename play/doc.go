// Package play runs a show in time.
//
// Run asks the clock where the show is, lets the show compute the frame of
// that instant, and hands it to every output, at a fixed rate against absolute
// due times:
//
//	due(i) = start + i × period        never: last + period, which drifts
//
// A frame that is late is sent late and counted; none is made up for. The
// clock is the sound that is heard when there is a sound device, else the
// computer's own. Outputs sit behind mailboxes: none of them can hold up the
// frames.
//
// A person may hold, go on, go to the next cue, go back, and bring the lights
// up, which wins over everything. However a run ends, the last frames are safe
// ones: ultraviolet and flashing off, people not in the dark; then each output
// says goodbye as its standard asks.
package play
