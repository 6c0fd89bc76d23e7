// Package midi holds the bytes of MIDI 1.0: messages ([NoteOn], [ShowControl.Append]),
// the byte stream of a port ([Stream.Feed]), and Standard MIDI Files ([NewFile],
// [ParseFile]).
//
// A message is a slice of bytes, complete with its status byte. A channel
// message is one status byte, 0x80 to 0xEF with the MIDI channel (0 to 15) in
// its low half, and one or two data bytes below 0x80. A system exclusive
// message begins with F0 and ends with F7.
//
// A Standard MIDI File 1.0 is a header chunk and track chunks, big-endian:
//
//	"MThd" 00000006  format(2) tracks(2) division(2)
//	"MTrk" length(4) { delta-time event } ...
//
// A delta-time is a variable-length quantity: seven bits a byte, the most
// significant first, bit 7 set on all but the last. An event is
//
//	a channel message             (the status may be left out when it repeats)
//	F0 <length> data... F7        system exclusive; the length counts the F7
//	F7 <length> bytes             any bytes as they are
//	FF type <length> bytes        meta event: 51 tempo, 2F end of track, 07 cue point
//
// In memory a file event's Data is the message itself; a meta event is FF,
// type, bytes, and an escape is F7, bytes: lengths are the file's affair.
//
// NewFile counts 500 ticks to a quarter note of 500 000 us, so that a tick is
// 1 ms: a reader that loses the tempo event still plays it right, for this is
// the tempo without one. Times are rounded to ticks from the start of the
// file, never from the last event, so the error stays within half a tick at
// any length.
package midi
