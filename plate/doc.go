// Package plate draws: pure functions from values to SVG 1.1 text.
//
// A plate is drawn for white paper and for a screen alike. Lines that must be
// told apart differ in colour (the set of Okabe and Ito, "Color Universal
// Design", 2008, made for all kinds of colour vision), in dash and in marker, so
// that a black-and-white print still reads. Every axis names its quantity and
// unit. Same input, same bytes out; fonts are the reader's own.
package plate
