// Package ledger keeps the edits of a folder's texts, whoever makes them, in their order and on
// the disk, so that each can be taken back, however long ago and however often the program was
// started since.
//
//	done, err := ledger.Make(ctx, dir, "page", func(t *ledger.Texts) (string, error) {
//		data, err := t.Read("score.yaml")
//		...
//		t.Put("score.yaml", changed)
//		return "cue 5: up 3 s, was 4 s", err
//	})
//	done, err = ledger.Undo(ctx, dir, "page") // score.yaml is what it was, byte by byte
//
// Texts and the entry about them are written as one, by package folder: either both are on the
// disk or neither is. What somebody wrote with another program is found by its sum before the
// next edit is made, and enters as one edit of theirs; nothing is ever written over it.
//
// # Form
//
// Edits lie in .lampblack-edits, in files of lines of JSON that are called by the number of their
// first edit. The first line of a file has all texts as they stood before that edit, each other
// line is an edit: for each file the place, the bytes that go and the bytes that come. So the
// newest file alone says what the texts were when the program last saw them, and every edit can
// be gone back over.
//
// What is undone next is part of each entry: an edit says which edit lies under it, and after
// each entry there is one that Undo takes back and one that Redo does again. An edit that is made
// after an undo leaves what was undone in the ledger, and nothing leads back to it.
package ledger
