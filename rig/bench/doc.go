// Package bench proves a slot table right on the lamp itself: [Walk] says what to send and
// what to look for, step by step, takes what a person sees, and comes to a [Report] of what
// is otherwise than the table says; [Report.Edit] corrects the type's file by it.
//
//	each slot alone ─▶ masters down ─▶ first light, top ─▶ slots of ranges ─▶ flashing ─▶ data pulled, power cycled
//	      │ all dark
//	      └─▶ all up, one down after another: which slot is whose
//
// A walk is a function of the type and of the answers so far. So it can be broken off:
// give it the answers that were kept, and it is where it was.
//
// Values of a table that are never to be entered are not tried. A range that flashes is tried
// where it is slowest, once a person has agreed; the program itself changes values no oftener
// than it is answered. Black light is shown at well under its full.
package bench
