// Package drawing is a display list: what is drawn, in its order, written as
// SVG for files and pages or as pixels.
//
// Begin with [New], add marks, and take the form that is wanted:
//
//	d := drawing.New(320, 120, "A lamp and its aim")
//	d.Line(40, 60, 280, 60, drawing.Ink, 2)
//	d.Label(40, 40, drawing.Left, drawing.Ink, "front left")
//	svg, err := d.SVG()            // for a page
//	data, err := d.File("aim.png") // for a file; its ending says which form
//
// A [Drawing] is a tree of four kinds of mark:
//
//	Drawing ── Group ─┬─ Path     a line or an outline, with fill and stroke
//	                  ├─ Text     one line of words
//	                  ├─ Picture  pixels in a box: computed light
//	                  └─ Group    marks that belong together: a unit, what a clip holds
//
// Both forms show the same. Lengths are pixels of 1/96 inch from the top left,
// y down. Everything computed stays with whoever draws: a mark knows nothing of
// light, rooms or sound. Same marks, same bytes; fonts are the reader's own in
// SVG, and the Go fonts, which need not be installed, in pixels.
//
// Not here: gradients, patterns, curves and turned groups. A curve is a line of
// short pieces, a hatching is lines in a [Group] with a Clip.
package drawing
