package retime

import (
	"strings"
	"time"

	"lampblack/score"
	"lampblack/si"
	"lampblack/source"
)

// stage moves the times at which things enter, leave and set out. A time that the new take
// does not hold goes where the next one that it holds went; behind all of them it stays, and is
// told as cut. What goes by a cue goes with the cue.
func (v *mover) stage(text *source.Text, sc *score.Score) error {
	for i := range sc.Stage {
		e := &sc.Stage[i]
		for k := range e.Value {
			if err := v.presence(text, e.Name, &e.Value[k]); err != nil {
				return err
			}
		}
	}
	for i := range sc.Crosses {
		e := &sc.Crosses[i]
		for k := range e.Value {
			if c := &e.Value[k]; c.At != nil {
				moved := v.movedTime(Crossing, e.Name, *c.At)
				pos, ok := text.Find("crosses", e.Name, k, "at")
				if !ok || moved.Cut {
					continue
				}
				if err := text.Set(pos, si.FormatTime(moved.New)); err != nil {
					return err
				}
			}
		}
	}
	return nil
}

// presence moves the times of one span, which is one text.
func (v *mover) presence(text *source.Text, name string, span *score.StageSpan) error {
	said := span.Text
	for _, t := range []*time.Duration{span.FromTime, span.ToTime} {
		if t == nil {
			continue
		}
		moved := v.movedTime(Presence, name, *t)
		if moved.Cut {
			continue
		}
		for _, word := range strings.Fields(span.Text) {
			if was, err := si.ParseTime(word); err == nil && was == *t {
				said = strings.Replace(said, word, si.FormatTime(moved.New), 1)
				break
			}
		}
	}
	if said == span.Text {
		return nil
	}
	return text.Set(span.Pos, said)
}

// movedTime is where a time went.
func (v *mover) movedTime(kind Kind, name string, at time.Duration) Moved {
	const step = 100 * time.Millisecond
	moved := Moved{Kind: kind, Name: name, Old: at}
	v.place(&moved)
	for later := at + step; moved.Cut && later < at+10*time.Minute; later += step {
		if where, confidence, ok := v.m.At(later); ok {
			moved.New, moved.Confidence, moved.Cut, moved.Doubtful = where, confidence, false, true
		}
	}
	v.r.Moved = append(v.r.Moved, moved)
	return moved
}
