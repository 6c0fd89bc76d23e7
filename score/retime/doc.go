// Package retime moves a show to a new take of its soundtrack: [Move] computes
// where everything in its files that names a time goes, which is where its moment
// went, and [Result.Commit] writes it.
//
//	r, err := retime.Move(dir, m, retime.Options{...}) // m is of package retake
//	err = r.Commit(dir, take)                           // all files at once, or none
//
// Cues and calm spans of score.yaml, sections of draft.yaml and decisions of
// spotting.yaml are changed in place in the texts, so that every comment and
// line stays. What has no place in the new take is taken out and kept aside,
// word for word, in a file that the show does not read: cut-cues.yaml,
// cut-calm.yaml, cut-sections.yaml, cut-decisions.yaml. What is doubtful is
// moved and flagged. A cue at 0:00 is the light that people come into, and stays
// there.
//
// A stretch (a calm span, a section) is where what is left of it went: cut at
// one end it is shorter, played twice or in two pieces it stands there twice.
//
// The map of the two takes is package retake's, with its confidence; what that
// did not hear is not known here. Delays, fades and counts within a cue are left
// as they are: it does not see whether they still fit a take of another tempo.
package retime
