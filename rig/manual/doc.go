// Package manual reads the slot table of a lamp as people have it, typed, pasted
// from a document, or saved from a spreadsheet, and makes a fixture type of it: begin
// with [Read], and write what it found with [Reading.YAML].
//
// A table is read in four steps, each its own file:
//
//	bytes ─ clean ─▶ lines ─ layout ─▶ one slot after another ─ rows ─▶ slots with their ranges ─ meaning ─▶ Mode
//
// People tell more than tables: values that stand below for a slot that has none, "sorry, 4 is white" (which is
// taken, and asked), a mode that is another "but only 2 to 7". Such lines are put where they belong before
// slots are read (amend.go), or become a mode of their own after it (brief.go).
//
// Words mean what lexicon.txt says. It knows nothing of any table: what decides
// is how well the whole hangs together. Slots run from 1 without a hole, the ranges of a
// slot cover 0 to 255 in order, a pair of coarse and fine stands together, cells go on
// as they began.
//
// What it cannot tell is a [Question], and the range in doubt is one that is never to be
// entered, until a person answers. What a person should be warned of is a [Trap].
// Outputs, beams and supplies, which slot tables do not tell, become the intervals of
// the generic types of package rig.
package manual
