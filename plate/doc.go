// Package plate draws: from values to the display list of package drawing, which
// files, paper and pages show alike.
//
// Fill one of the plates and call its Draw, then File or SVG of what it returns:
//
//	[View]     the room as an eye sees it, or its glow alone; [Strip] and [Film] a span of it
//	[Plan]     light or ultraviolet over the floor, from above
//	[Plot]     the lighting plan: units as they hang, from above
//	[Gamuts]   what fixture types reach on the chromaticity diagram
//	[Spectra]  what emitters give, by wavelength
//	[Swatches] paints in daylight and under black light
//	[Dots]     a diagram small enough to stand beside a look
//
// A plate is drawn for white paper and for a screen alike. Lines that must be
// told apart differ in colour (the set of Okabe and Ito, "Color Universal
// Design", 2008, made for all kinds of colour vision), in dash and in marker, so
// that a black-and-white print still reads. Every axis names its quantity and
// unit. Same input, same bytes out.
//
// Pixels count to the right and down from the upper left corner; what is drawn later
// lies on top. Rooms are drawn with x to the right and the stage at the top, so the
// audience looks up the page. Places of things on a plate, numbers such as 34 or 14 in
// the code, are in pixels and were set by eye.
package plate
