package main

import (
	"bytes"

	"lampblack/folder"
	"lampblack/score"
	"lampblack/score/draft"
	"lampblack/show"
	"lampblack/source"
)

// draftTexts are the texts that a draft is put into: the score, and for another piece than the
// folder's own the file of its cues. Looks go into the score in any case.
type draftTexts struct {
	score []byte
	cues  []byte // nil for the folder's own piece
	file  string // of the cues
	old   []byte // the score as it was
}

// draftTexts reads them.
func (l *loaded) draftTexts() (draftTexts, error) {
	t := draftTexts{file: l.of.cues}
	var err error
	if t.score, err = l.folder.ReadFile(show.ScoreFile); err == nil && l.of.other != nil {
		t.cues, err = l.folder.ReadFile(l.of.cues)
	}
	t.old = t.score
	return t, err
}

// read reads the score that the texts are together.
func (t draftTexts) read() (*score.Score, source.Faults) {
	sc, faults := score.Read(show.ScoreFile, t.score)
	if t.cues == nil || faults.Err() != nil {
		return sc, faults
	}
	return score.ReadCues(t.file, t.cues, sc.Looks)
}

// bare takes out what an earlier draft left. Looks that others name stay, as the wish has them.
func (t draftTexts) bare(sc *score.Score, w *draft.Wish) (draftTexts, error) {
	var err error
	if t.cues == nil {
		t.score, err = draft.Bare(show.ScoreFile, t.score, sc, w)
	} else {
		if t.score, err = draft.BareLooks(show.ScoreFile, t.score, sc, w); err == nil {
			t.cues, err = draft.BareCues(t.file, t.cues, sc)
		}
	}
	return t, err
}

// splice puts a draft into them.
func (t draftTexts) splice(r *draft.Result, sc *score.Score) (draftTexts, error) {
	var err error
	if t.cues == nil {
		t.score, err = r.Splice(show.ScoreFile, t.score, sc)
		return t, err
	}
	if t.score, err = r.SpliceLooks(show.ScoreFile, t.score); err == nil {
		t.cues, err = r.SpliceCues(t.file, t.cues)
	}
	return t, err
}

// shown is what a person looks at before it is written: for another piece first the looks, where
// there are new ones.
func (t draftTexts) shown() []byte {
	switch {
	case t.cues == nil:
		return t.score
	case bytes.Equal(t.score, t.old):
		return t.cues
	}
	return append(append(append([]byte("# "+show.ScoreFile+"\n"), t.score...), "\n# "+t.file+"\n"...), t.cues...)
}

// put adds them to an edit.
func (t draftTexts) put(e *folder.Edit) {
	if t.cues == nil || !bytes.Equal(t.score, t.old) {
		e.Put(show.ScoreFile, t.score)
	}
	if t.cues != nil {
		e.Put(t.file, t.cues)
	}
}
