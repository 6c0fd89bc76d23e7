// Package line reads the lines that name a way out or a clock, as they stand in
// a show's file or on the command line: [ParseOut] and [ParseClock]. It opens
// nothing; packages output and chase do.
//
// Words stand apart by spaces, a path with spaces in double quotes; every
// option may stand once, in any order.
//
//	line = kind place { option }
//
// Package output describes the outputs, package chase the clocks.
package line
