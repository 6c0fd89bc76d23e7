// Package lm63 holds the intensity table of ANSI/IES LM-63, editions 1986, 1991, 1995, 2002 and 2019: how many
// candela a luminaire gives in which direction. [Parse] reads a file, [File.Append] writes one;
// [File.Candela] is the intensity in a direction, [File.Flux] and [File.Zones] integrate it.
//
//	IESNA:LM-63-2002            the edition; none in 1986
//	[TEST] ...                  keywords, one a line (free text in 1986)
//	TILT=NONE                   or INCLUDE, with a table, or the name of a file (until 2002)
//	lamps, lumens a lamp (-1: absolute), multiplier, vertical angles, horizontal angles,
//	  type (1 C, 2 B, 3 A), units (1 feet, 2 metres), width, length, height
//	ballast factor, a third number, watts
//	vertical angles, horizontal angles
//	candela: all vertical angles for the first horizontal one, then for the next
//
// From TILT on the file is a stream of numbers, wherever its lines end. The third number is a
// factor until 1995, is to be 1 in 2002, and in 2019 says how the file was made: a reader that
// multiplies it then makes such a file a tenth too bright.
//
// Directions are those of the luminaire: z along its photometric axis (straight down as it is
// measured in type C, ahead in A and B), x in the plane of horizontal angle 0 or of positive ones, along
// its length. Candela is weighted by the eye: such a file says nothing of ultraviolet but its shape.
package lm63
