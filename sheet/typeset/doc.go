// Package typeset sets tables, words, check boxes, pictures and labels on pages of
// paper: make a [Document] of blocks, [Set] it, and write the [Pages].
//
//	doc := typeset.Document{Title: "Patch list", Blocks: []typeset.Block{&table}}
//	pages := typeset.Set(typeset.A4, typeset.Foot{Left: "A show"}, doc)
//	err := pages.PDF(w)
//
// One layout, several forms: pages are drawings (package drawing), which are written
// as PDF and as SVG; [CSV] writes the tables, and [Text] everything as Markdown.
//
//	Document ── Block ─┬─ Heading, Words, Tasks, Blank
//	                   ├─ Table    columns as wide as what stands in them
//	                   ├─ Figure   a drawing, to scale where it has one
//	                   └─ Labels   a sheet of labels
//
// Nothing is cut off: a column is as wide as its contents, then as its longest word,
// then letters become smaller down to [Smallest], and only then are words broken; a row
// that is higher than a page goes on overleaf. All is black on white; what has changed
// (Changed of a block or a row) has a bar in the left margin.
//
// Lengths are pixels of 1/96 inch, as in package drawing. Letters of the Go fonts are
// measured; what those lack (they hold Latin, Greek and Cyrillic) is shown as a box.
// Words are not hyphenated, and lines run from left to right.
package typeset
