// Package editing has a show open for changing: it makes changes of its texts, tells what they
// come to in light, and keeps them so that they can be taken back.
//
//	w := editing.New(editing.Options{Dir: dir, Solve: solve, Changed: book}, solved)
//	entry, err := w.Change(ctx, "phone of Ada", changes)  // written, solved, the book shows it
//	tried, err := w.Try(ctx, changes)                     // the same, and nothing is written
//	entry, err = w.Undo(ctx, "this computer")
//
// A change that cannot be read afterwards, or that leaves something that stops the show from being
// worked out which was not there before, is refused in the words of that fault. What stands
// otherwise than whoever asks saw is a conflict (package amend).
//
//	changes ─amend─▶ texts ─show.Read─▶ Solve ─▶ written (ledger) ─▶ Changed, at once
//	                                                              └▶ checked ─▶ Changed, with findings
//
// Where the light in the room is as it was, which is so for all of the score, a change is solved
// before it is written; that takes some milliseconds. Otherwise it is written as soon as it reads,
// and solved behind that.
package editing
