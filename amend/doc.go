// Package amend changes the texts of a show by single values, as a person means it: this cue, that
// key, from what was seen there to something else. It is what the pages ask for, and it knows
// nothing of light: whether the show still reads and solves is for its caller to see.
//
//	said, err := amend.Apply(texts, []amend.Change{{
//		File: "score.yaml", Do: amend.Set, At: amend.Path{"cues", amend.Item{"cue", "5"}, "up"},
//		Was: &three, To: source.TextOf("4 s"),
//	}})                             // "cue 5, up: 4 s (was 3 s)"
//
// A change says what whoever asks saw in its place. Where something else stands there by now,
// nothing is changed and the error is a [Conflict], which says what does. So two people never
// write over one another, and neither over what a text editor wrote.
//
// Values are changed in place: comments, order and the way in which the rest is written stay.
package amend
