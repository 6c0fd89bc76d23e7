// Package timecode holds SMPTE ST 12-1 time addresses, their linear time code
// (LTC) as audio, and their quarter frames in MIDI time code. [Rate.Parse] reads an
// address and [Rate.At] gives that of an instant; [NewEncoder] makes audio,
// [NewDecoder] reads it; [Rate.Quarter] and [QuarterFrames] are for MIDI.
//
// A frame of LTC is 80 bits, bit 0 first, the digits in BCD with the least
// significant bit first:
//
//	 0- 3 frame units    8- 9 frame tens    10 drop frame  11 colour frame
//	16-19 second units  24-26 second tens   27 polarity (24, 30) or binary group flag 0 (25)
//	32-35 minute units  40-42 minute tens   43 flag 0 (24, 30) or flag 2 (25)
//	48-51 hour units    56-57 hour tens     58 flag 1  59 flag 2 (24, 30) or polarity (25)
//	 4-7, 12-15, 20-23, 28-31, 36-39, 44-47, 52-55, 60-63  user bits
//	64-79 sync word, as sent: 0011 1111 1111 1101
//
// Each bit begins with a change of the signal's level; a 1 changes it once
// more at half its time (biphase mark), so the sense of the signal does not
// matter. The polarity bit makes the number of zeros even, so every frame
// begins with the same edge. That edge is the instant of the frame's number.
//
// There are 24, 25, 30000/1001 or 30 frames in a second. At 30000/1001 the
// numbers 0 and 1 are left out at the start of each minute but every tenth
// (drop frame), so that the numbers stay within 86.4 ms a day of the clock.
//
// MIDI time code sends a frame's number in eight quarter frames over two
// frames; piece 0 goes out at the instant of the frame whose number it begins.
//
// Bit positions and drop-frame arithmetic are those of ST 12-1 as restated in
// several places that agree; rise time and level are from memory.
package timecode
