// Package sheet puts a show on paper: [Make] lays out the papers that are asked for by
// name, and package typeset sets them on pages.
//
//	docs, err := sheet.Make(ctx, &sheet.Subject{Show: s, Runs: runs, Found: found}, "patch list", "cue sheet")
//	pages := typeset.Set(typeset.A4, foot, docs...)
//	err = pages.PDF(w)
//
// [Kinds] lists what there is. Every figure on a paper is the show's, the rig's or a
// finding's; a paper computes sums and nothing else. What nobody said is an empty place to
// write on, never a guess that looks like a value.
//
//	rig, room ─────▶ plan, section, schedules, patch, cables, power, focus, labels
//	looks, cues ───▶ match table, synopsis, cue sheets, scripts, what runs without a computer
//	findings ──────▶ sign, announcement, risk assessment (package papers), check lists
//
// [Record] remembers what was handed out, so that the next print marks what has changed
// since with a bar in the margin.
//
// A paper does not make anything safe: what hangs, burns, dazzles or trips is for people who are
// trained and licensed for it, and papers say so where it is near.
package sheet
