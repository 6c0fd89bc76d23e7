// Package line reads the lines that name a way out, a clock, a trigger or the channels
// of a sound device, as they stand in a show's file or on the command line:
// [ParseOut], [ParseClock], [ParseSend], [ParseTrigger] and [ParseChannels]. It opens
// nothing; packages output, chase, trigger and play do.
//
// Words stand apart by spaces, a path with spaces in double quotes; every
// option may stand once, in any order.
//
//	line = kind place { option }
//
// Package output describes the outputs, package chase the clocks, [Trigger] the
// triggers.
package line
