package retime

import (
	"errors"
	"fmt"
	"slices"
	"time"

	"lampblack/folder"
	"lampblack/score"
	"lampblack/score/draft"
	"lampblack/show"
	"lampblack/si"
	"lampblack/soundtrack/retake"
	"lampblack/source"
)

// Kind is what of a show was moved.
type Kind string

// Kinds of what names a time.
const (
	Cue      Kind = "cue"
	Calm     Kind = "calm span"
	Wait     Kind = "wait"
	Section  Kind = "section"
	Decision Kind = "decision"
	Presence Kind = "presence"
	Crossing Kind = "crossing"
	Draw     Kind = "opening"
)

// Moved is what became of one thing that names a time.
type Moved struct {
	Kind       Kind
	Name       string        // the number of a cue, the end of a calm span, a decision as written
	Old, New   time.Duration // of its moment or beginning; New is 0 when it was cut
	Confidence float64       // 0 to 1
	Cut        bool
	Doubtful   bool            // moved, but listen to it
	Timed      bool            // it has a time now, as the new take has no such moment there
	Also       []time.Duration // other places where the new take has it
}

// Result is what a show's files become for the new take.
type Result struct {
	Moved []Moved
	// Texts are the new texts by file; nil is a file that goes.
	Texts map[string][]byte
	// Aside are the items that were cut, word for word, by kind.
	Aside map[Kind]string

	piece *Piece // that was moved
}

// Options say what the mover cannot know by itself. Moment gives the time in
// the old take of an anchor. Anchor gives what names such a moment of the new
// take at a time, if one is heard there; nil takes every moment to be there.
type Options struct {
	Moment func(score.Anchor) (time.Duration, error)
	Anchor func(a score.Anchor, at time.Duration) (score.Anchor, bool)
	// Piece is the piece of an evening that is moved; nil is the folder's own.
	Piece *Piece
}

// Piece is a piece of an evening with a file of cues and a soundtrack of its own.
type Piece struct {
	Cues  string                   // its file
	Order string                   // the file of the running order that names its soundtrack
	Step  int                      // its place there
	Looks source.Named[score.Look] // those of the folder
}

// WishFile is where the wishes of a draft of the piece are.
func (p *Piece) WishFile() string { return draft.Beside(p.Cues, draft.WishFile) }

// DecisionsFile is where its decisions are.
func (p *Piece) DecisionsFile() string { return draft.Beside(p.Cues, draft.DecisionsFile) }

// mover moves one show. r grows as things are moved, in the order of the files.
type mover struct {
	m retake.Map
	o Options
	r *Result
}

// Move computes the new texts of a show's folder and writes nothing. A file that the
// show does not have is passed over. A fault in a text ends it: what cannot be read
// cannot be moved whole.
func Move(dir *folder.Folder, m retake.Map, o Options) (*Result, error) {
	v := &mover{m, o, &Result{Texts: map[string][]byte{}, Aside: map[Kind]string{}, piece: o.Piece}}
	scoreFile, wishFile, decisionsFile := show.ScoreFile, draft.WishFile, draft.DecisionsFile
	if p := o.Piece; p != nil {
		scoreFile, wishFile, decisionsFile = p.Cues, p.WishFile(), p.DecisionsFile()
	}
	for _, f := range []struct {
		name string
		move func(text *source.Text, data []byte) error
	}{
		{scoreFile, v.score},
		{wishFile, v.sections},
		{decisionsFile, v.decisions},
	} {
		data, err := dir.Optional(f.name)
		if err != nil {
			return nil, err
		}
		if data == nil {
			continue
		}
		text, faults := source.OpenText(f.name, data)
		if faults.Err() != nil {
			return nil, faults
		}
		if err := f.move(text, data); err != nil {
			return nil, err
		}
		if _, gone := v.r.Texts[f.name]; gone {
			continue
		}
		if v.r.Texts[f.name], err = text.Bytes(); err != nil {
			return nil, err
		}
	}
	if v.none() {
		return nil, errOther
	}
	return v.r, nil
}

var errOther = errors.New("the new take holds none of the show's moments: is it the right file?")

// none tells whether the show names moments and all of them were cut. A cue at the
// beginning proves nothing, as it stays whatever the take is.
func (v *mover) none() bool {
	sought := 0
	for _, m := range v.r.Moved {
		switch {
		case m.Kind == Presence || m.Kind == Crossing || m.Kind == Draw:
		case m.Cut:
			sought++
		case m.Kind != Cue || m.Old > 0:
			return false
		}
	}
	return sought > 0
}

// score moves cues and calm spans. Cut cues are taken out together after all others
// were set, since indexes are those of the old list.
func (v *mover) score(text *source.Text, data []byte) error {
	sc, faults := v.read(data)
	if faults.Err() != nil {
		return faults
	}
	var cut []int
	sought := 0 // cues that have a moment to be found
	for i := range sc.Cues {
		c := &sc.Cues[i]
		if preset(c) {
			v.r.Moved = append(v.r.Moved, v.stay(c))
			continue
		}
		if c.Follows.Name != "" {
			continue // it goes where the other goes
		}
		sought++
		moved, err := v.cue(text, i, c)
		if err != nil {
			return fmt.Errorf("move cue %s: %w", c.Number, err)
		}
		if moved.Cut {
			cut = append(cut, i)
		}
	}
	if sought > 0 && len(cut) == sought {
		return errOther
	}
	cut, err := v.followers(text, sc.Cues, cut)
	if err != nil {
		return err
	}
	err = text.Remove("cues", cut...)
	if err != nil {
		return err
	}
	if err := v.stage(text, sc); err != nil {
		return err
	}
	if err := v.calm(text, sc.Calm); err != nil {
		return err
	}
	if sc.Waits, err = v.written(data); err != nil {
		return err
	}
	return v.waits(text, sc.Waits)
}

// followers adds the cues to those that were cut that follow one of them, by way of others
// too: they have nothing to follow any more.
func (v *mover) followers(text *source.Text, cues []score.Cue, cut []int) ([]int, error) {
	gone := map[string]bool{}
	for _, i := range cut {
		gone[cues[i].Number.Name] = true
	}
	for again := len(cut) > 0; again; {
		again = false
		for i := range cues {
			c := &cues[i]
			if !gone[c.Follows.Name] || gone[c.Number.Name] {
				continue
			}
			moved := Moved{Kind: Cue, Name: c.Number.Name, Cut: true}
			v.r.Moved = append(v.r.Moved, moved)
			if err := v.aside(text, "cues", i, moved); err != nil {
				return nil, err
			}
			gone[c.Number.Name], again = true, true
			cut = append(cut, i)
		}
	}
	slices.Sort(cut)
	return cut, nil
}

// written are the waits in the order of the text: score.Read sorts them by their places.
func (v *mover) written(data []byte) ([]score.Wait, error) {
	if v.o.Piece != nil {
		var p score.Piece
		faults := source.Decode(v.o.Piece.Cues, data, &p)
		return p.Waits, faults.Err()
	}
	var s score.Score
	faults := source.Decode(show.ScoreFile, data, &s)
	return s.Waits, faults.Err()
}

// read reads the score, or the file of a piece.
func (v *mover) read(data []byte) (*score.Score, source.Faults) {
	if p := v.o.Piece; p != nil {
		return score.ReadCues(p.Cues, data, p.Looks)
	}
	return score.Read(show.ScoreFile, data)
}

// preset tells whether a cue stands at the very beginning of the show: it is
// the light that people come into, and goes with no moment of the sound.
func preset(c *score.Cue) bool { return c.At != nil && *c.At == 0 }

// stay leaves a cue at the beginning, whatever the new take begins with, and
// says where else its sound is by now.
func (v *mover) stay(c *score.Cue) Moved {
	const near = 100 * time.Millisecond
	moved := Moved{Kind: Cue, Name: c.Number.Name, Confidence: 1}
	if where, _, ok := v.m.At(0); ok && where > near {
		moved.Also = append(moved.Also, where)
	}
	return moved
}

// A cue that was on a moment, and has none in the new take, gets a bare time where the
// map places it: it is seen at the right instant, and says that it hangs on nothing.
func (v *mover) cue(text *source.Text, i int, c *score.Cue) (Moved, error) {
	moved := Moved{Kind: Cue, Name: c.Number.Name}
	a := score.Anchor{}
	if c.At != nil {
		moved.Old = *c.At
		v.place(&moved)
	} else {
		var err error
		if a, err = v.anchor(&moved, *c.On); err != nil {
			return moved, err
		}
	}
	moved.Timed = !moved.Cut && c.At == nil && a.Kind == ""
	v.r.Moved = append(v.r.Moved, moved)
	switch {
	case moved.Cut:
		return moved, v.aside(text, "cues", i, moved)
	case c.At != nil:
		pos, _ := text.Find("cues", i, "at")
		return moved, text.Set(pos, si.FormatTime(moved.New))
	case moved.Timed:
		return moved, text.SwapKey("on", "at", si.FormatTime(moved.New), "cues", i)
	}
	pos, _ := text.Find("cues", i, "on")
	return moved, text.Set(pos, a.String())
}

// place looks where a time went. What the new take holds several times goes to the
// longest span of those that are not doubtful, and the others are told.
func (v *mover) place(moved *Moved) {
	where, confidence, ok := v.m.At(moved.Old)
	moved.Confidence, moved.Cut = confidence, !ok
	if !ok {
		return
	}
	moved.New, moved.Doubtful = where, confidence < retake.Doubtful
	for _, p := range v.m.All(moved.Old) {
		if p != where {
			moved.Also = append(moved.Also, p)
		}
	}
}

// anchor looks where an anchor went and returns what names it in the new take;
// nothing when there is no such moment there.
func (v *mover) anchor(moved *Moved, a score.Anchor) (score.Anchor, error) {
	var err error
	if moved.Old, err = v.o.Moment(a); err != nil {
		return a, err
	}
	v.place(moved)
	if moved.Cut {
		return score.Anchor{}, nil
	}
	if v.o.Anchor != nil {
		if is, heard := v.o.Anchor(a, moved.New); heard {
			return is, nil
		}
		return score.Anchor{}, nil
	}
	a.Near = moved.New
	return a, nil
}
