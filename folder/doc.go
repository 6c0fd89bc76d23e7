// Package folder opens the folders and files that a person names, and writes
// edits of several files as one.
//
//	dir, err := folder.Open(ctx, "my-show")   // finishes an edit that was cut off
//	files, faults := show.Read(dir)           // every read is guarded and remembered
//	e := dir.Edit()
//	e.Put("score.yaml", score)
//	e.Put("show.yaml", bill)
//	err = e.Commit()                          // both, or neither; ErrChanged when another was faster
//
// A guarded read stays inside the folder even by way of links, takes plain
// files only (it never waits for a pipe or a device), has a bound on its size,
// and ends when the context is done.
//
// An edit goes to the disk in this order, each step forced to the disk before
// the next:
//
//  1. a lock, which the system takes back from a process that is killed;
//  2. a look whether every file that was read is still as it was read;
//  3. each new text in a file beside its place, .NAME.lampblack-new;
//  4. a journal that lists them, renamed to .lampblack-journal: from here on
//     the edit counts;
//  5. each new file renamed into place;
//  6. the journal removed.
//
// Whoever opens the folder after a cut before 4 has the old state, after 4 the
// new one: Open does what is left of 5 and 6. Where it cannot, on read-only
// media for one, it reads as if it had. The journal never undoes what a person
// wrote into a file after the cut: see [Folder.Left].
//
// Use it so: [Open] a folder, read by [Folder.ReadFile] or hand the folder on as an
// fs.FS, change it by [Folder.Edit]; single files elsewhere by [OpenFile] and
// [WriteFile]. Whoever writes without this package, a person's editor, is noticed and
// never overwritten, but not kept out.
package folder
