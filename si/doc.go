// Package si holds quantities as types: a length is not a power, and a number
// in a file always carries its unit. Files fill a [Length] or a [Power] by
// themselves, as encoding.TextUnmarshaler; [Say] prints a measured value for a
// person; [ParseTime] reads a time on the show's line.
//
// Each quantity is a float64 in the unit that its comment names, and its String
// reads back to the same value, to six decimals of that unit. An [Estimate] is a
// value with the interval that it is believed to lie in. The unit symbols are
// those of the International System of Units (BIPM, SI Brochure, 9th edition,
// 2019) with its prefixes k, m, u (or µ) and M; minutes, degrees of angle, volt
// amperes and nanometres are as in its table 8. Numbers use a point; "2.5 m",
// "2.5m" and "250 cm" are the same.
package si
