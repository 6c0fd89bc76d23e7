// Package begin leads somebody who has nothing yet to a show that can be drafted: eight questions,
// whose answers are the ordinary texts of a show's folder and nothing else.
//
//	show, err := begin.New(ctx, dir, begin.What{Title: "The Owl"}) // a folder with show.yaml
//	a, err := begin.Read(ctx, dir)                                 // the answers, as the texts have them
//	a.Room.Width = 7
//	err = begin.Put(ctx, dir, "this computer", begin.RoomQuestion, a.Marks[begin.RoomQuestion], a)
//
// An answer is read out of the texts whenever it is asked for, whoever wrote them, and a new one is
// written at once, as an edit that can be taken back (package ledger). Only values that differ are
// changed, in place: what else stands in the texts stays, comments too. Whoever answers says what
// they saw, by its mark; where something else stands there by now, nothing is written and the error
// is [ErrChanged].
//
// # What is guessed
//
// Nobody is asked for all that a light in a room needs. What is put into the texts unasked ends
// with a comment, "# guessed: why", which goes when a person says it; [Guesses] lists those that
// stand. Where the program guesses by itself what is not written, as where a unit hangs, nothing is
// put into the texts: a guess that stands there as a value would be taken for a fact by the checks.
//
//	what happens   show.yaml   title, about; order.yaml once there are looks
//	sound          show.yaml   soundtrack, and the file itself
//	room           room.yaml   size, stage front, walls, floor, surfaces
//	people         room.yaml   audience, performers, paths, the surface "playing floor"
//	units          rig.yaml    units; fixtures/NAME.yaml of a pasted table; score.yaml, looks
//	places         rig.yaml    at, aim
//	glow           room.yaml   objects; score.yaml, looks
//	on site        show.yaml   outputs, timecode; desk.yaml
package begin
