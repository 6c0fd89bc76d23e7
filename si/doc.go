// Package si holds quantities as types: a length is not a power, and a number
// in a file always carries its unit.
//
// Each quantity is a float64 in the unit that its comment names, with a Parse
// by way of encoding.TextUnmarshaler and a String that reads back to the same
// value. The unit symbols are those of the International System of Units
// (BIPM, SI Brochure, 9th edition, 2019) with its prefixes k, m, u (or µ) and
// M; minutes, degrees of angle, volt amperes and nanometres are as in its
// table 8. Numbers use a point; "2.5 m", "2.5m" and "250 cm" are the same.
package si
