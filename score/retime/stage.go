package retime

import (
	"cmp"
	"slices"
	"strings"
	"time"

	"lampblack/score"
	"lampblack/si"
	"lampblack/source"
)

// stage moves the times at which things enter, leave, set out and open. A time that the new take
// does not hold goes where the next one that it holds went; behind all of them it stays, and is
// told as cut. What goes by a cue goes with the cue: by one that was cut, a thing enters with the
// next cue that is there, leaves with the one before, and sets out at the time.
func (v *mover) stage(text *source.Text, sc *score.Score) error {
	cues := v.order()
	for i := range sc.Stage {
		e := &sc.Stage[i]
		for k := range e.Value {
			if err := v.presence(text, e.Name, &e.Value[k], cues); err != nil {
				return err
			}
		}
	}
	for i := range sc.Crosses {
		e := &sc.Crosses[i]
		for k := range e.Value {
			if err := v.going(text, Crossing, "crosses", e.Name, k, &e.Value[k].Going, cues); err != nil {
				return err
			}
		}
	}
	for i := range sc.Opens {
		e := &sc.Opens[i]
		for k := range e.Value {
			if err := v.going(text, Draw, "opens", e.Name, k, &e.Value[k].Going, cues); err != nil {
				return err
			}
		}
	}
	return nil
}

// order is what became of the cues, by their old times.
func (v *mover) order() []Moved {
	var out []Moved
	for _, m := range v.r.Moved {
		if m.Kind == Cue {
			out = append(out, m)
		}
	}
	slices.SortStableFunc(out, func(a, b Moved) int { return cmp.Compare(a.Old, b.Old) })
	return out
}

// instead is the cue that stands in for one that was cut: the next that is there, or the last
// before; "" where there is none, and the name itself for a cue that is there.
func instead(cues []Moved, name string, step int) string {
	i := slices.IndexFunc(cues, func(m Moved) bool { return m.Name == name })
	if i < 0 {
		return name
	}
	for ; i >= 0 && i < len(cues); i += step {
		if !cues[i].Cut {
			return cues[i].Name
		}
	}
	return ""
}

// going moves when something sets out that is the kth of a name under a key.
func (v *mover) going(text *source.Text, kind Kind, key, name string, k int, c *score.Going, cues []Moved) error {
	if c.At != nil {
		moved := v.movedTime(kind, name, *c.At)
		pos, ok := text.Find(key, name, k, "at")
		if !ok || moved.Cut {
			return nil
		}
		return text.Set(pos, si.FormatTime(moved.New))
	}
	i := slices.IndexFunc(cues, func(m Moved) bool { return m.Name == c.Cue.Name })
	if i < 0 || !cues[i].Cut {
		return nil
	}
	moved := v.movedTime(kind, name, cues[i].Old)
	return text.SwapKey("cue", "at", si.FormatTime(moved.New), key, name, k)
}

// presence moves one span, which is one text. One of which nothing is left is never.
func (v *mover) presence(text *source.Text, name string, span *score.StageSpan, cues []Moved) error {
	said := span.Text
	if span.FromTime != nil && span.ToTime != nil {
		from, to := v.movedTime(Presence, name, *span.FromTime), v.movedTime(Presence, name, *span.ToTime)
		if from.Cut || to.Cut {
			return nil
		}
		said = si.FormatTime(from.New) + " to " + si.FormatTime(to.New)
		if to.New <= from.New {
			said = never
		}
	} else if t := cmp.Or(span.FromTime, span.ToTime); t != nil {
		moved := v.movedTime(Presence, name, *t)
		if moved.Cut {
			return nil
		}
		said = strings.Fields(said)[0] + " " + si.FormatTime(moved.New)
	} else {
		said = v.byCues(name, span, cues)
	}
	if said == span.Text {
		return nil
	}
	return text.Set(span.Pos, said)
}

const never = "never"

// byCues is a span by cues of which some may have been cut.
func (v *mover) byCues(name string, span *score.StageSpan, cues []Moved) string {
	from, to := instead(cues, span.FromCue, 1), instead(cues, span.ToCue, -1)
	if from == span.FromCue && to == span.ToCue {
		return span.Text
	}
	at := func(name string) int { return slices.IndexFunc(cues, func(m Moved) bool { return m.Name == name }) }
	said := never
	switch {
	case span.FromCue == "" && to != "":
		said = "until cue " + to
	case span.ToCue == "" && from != "":
		said = "from cue " + from
	case span.FromCue != "" && span.ToCue != "" && from != "" && to != "" && at(from) <= at(to):
		said = "cues " + from + " to " + to
	}
	moved := Moved{Kind: Presence, Name: name + ", " + span.Text, Cut: said == never, Doubtful: said != never}
	if i := at(cmp.Or(span.FromCue, span.ToCue)); i >= 0 {
		moved.Old = cues[i].Old
	}
	v.r.Moved = append(v.r.Moved, moved)
	return said
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
