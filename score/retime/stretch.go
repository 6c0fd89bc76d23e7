package retime

import (
	"fmt"
	"strings"
	"time"

	"lampblack/score"
	"lampblack/score/draft"
	"lampblack/si"
	"lampblack/soundtrack/retake"
	"lampblack/source"
)

// leastStretch is the shortest piece of a calm span or a section that is worth
// a place: shorter ones are what is left at the edge of a cut.
const leastStretch = 250 * time.Millisecond

// piece is what a stretch of the old take became in one span of the new one.
type piece struct{ old, new retake.Interval }

// pieces lists what became of a stretch, in the order of the new take. Pieces that
// follow one another are one. A piece shorter than 0.25 s is dropped, unless the
// stretch itself was no longer. Two pieces are one where they go on in both takes: in
// the new one without a gap of 0.25 s, in the old one forward.
func (v *mover) pieces(old retake.Interval) []piece {
	var out []piece
	for _, s := range v.m.Spans {
		part := retake.Interval{From: max(old.From, s.Old.From), To: min(old.To, s.Old.To)}
		if part.Length() < min(leastStretch, old.Length()) {
			continue
		}
		p := piece{part, retake.Interval{From: v.within(s, part.From), To: v.within(s, part.To)}}
		if n := len(out); n > 0 && p.new.From-out[n-1].new.To < leastStretch && p.old.From >= out[n-1].old.To {
			out[n-1].old.To, out[n-1].new.To = p.old.To, p.new.To
			continue
		}
		out = append(out, p)
	}
	return out
}

// within is where a span of the new take has an old time: as the map places it to the
// sample, or along the span's speed. The map's own place is taken where it lies within
// 5 ms of the straight line, which tells it from another copy of the same sound
// elsewhere.
func (v *mover) within(s retake.Span, old time.Duration) time.Duration {
	along := s.New.From
	if s.Old.Length() > 0 {
		share := float64(old-s.Old.From) / float64(s.Old.Length())
		along += time.Duration(share * float64(s.New.Length()))
	}
	best := along
	const near = 5 * time.Millisecond
	for _, p := range v.m.All(old) {
		if d := (p - along).Abs(); d <= near {
			best = p
		}
	}
	return best
}

// calm moves the calm spans.
func (v *mover) calm(text *source.Text, list []score.Span) error {
	var cut []int
	for i, c := range list {
		moved := Moved{Kind: Calm, Name: "to " + si.FormatTime(c.To), Old: c.From}
		pieces := v.pieces(retake.Interval{From: c.From, To: c.To})
		v.stretch(&moved, pieces)
		v.r.Moved = append(v.r.Moved, moved)
		if moved.Cut {
			cut = append(cut, i)
			if err := v.aside(text, "calm", i, moved); err != nil {
				return err
			}
			continue
		}
		if err := setCalm(text, i, c, pieces); err != nil {
			return err
		}
	}
	return text.Remove("calm", cut...)
}

// torn is the share of a span that repeats, one in so many, by which it may become longer or
// shorter and still be the same loop: a take is played faster by less.
const torn = 10

// waits moves the waits: spans that repeat as calm spans are moved, but for a second place,
// as a piece waits once; places as times. A span that was cut in two is cut, since what is
// left of it is no loop.
func (v *mover) waits(text *source.Text, list []score.Wait) error {
	var cut []int
	for i := range list {
		w := &list[i]
		moved := Moved{Kind: Wait, Name: "at " + si.FormatTime(w.Place()), Old: w.Place() - w.Span()}
		set := map[string]time.Duration{}
		if w.Repeats() {
			pieces := v.pieces(retake.Interval{From: *w.From, To: *w.To})
			if len(pieces) > 0 && (pieces[0].new.Length()-w.Span()).Abs() > w.Span()/torn {
				pieces = nil
			}
			v.stretch(&moved, pieces)
			if !moved.Cut {
				set["from"], set["to"] = pieces[0].new.From, pieces[0].new.To
			}
		} else {
			v.place(&moved)
			set["at"] = moved.New
		}
		v.r.Moved = append(v.r.Moved, moved)
		if moved.Cut {
			cut = append(cut, i)
			if err := v.aside(text, "waits", i, moved); err != nil {
				return err
			}
			continue
		}
		for key, at := range set {
			pos, _ := text.Find("waits", i, key)
			if err := text.Set(pos, si.FormatTime(at)); err != nil {
				return err
			}
		}
	}
	return text.Remove("waits", cut...)
}

// stretch notes what became of a stretch. Its confidence is that of a point just
// inside, since at the edge itself the map may already be in another span.
func (v *mover) stretch(moved *Moved, pieces []piece) {
	if moved.Cut = len(pieces) == 0; moved.Cut {
		return
	}
	moved.New = pieces[0].new.From
	_, moved.Confidence, _ = v.m.At(pieces[0].old.From + leastStretch/2)
	moved.Doubtful = moved.Confidence < retake.Doubtful
	for _, p := range pieces[1:] {
		moved.Also = append(moved.Also, p.new.From)
	}
}

// setCalm writes a calm span's first piece where it stands, and others behind. Further
// pieces are new items at the end, as a stretch that stands twice is two.
func setCalm(text *source.Text, i int, c score.Span, pieces []piece) error {
	for key, at := range map[string]time.Duration{"from": pieces[0].new.From, "to": pieces[0].new.To} {
		pos, _ := text.Find("calm", i, key)
		if err := text.Set(pos, si.FormatTime(at)); err != nil {
			return err
		}
	}
	for _, p := range pieces[1:] {
		item := fmt.Sprintf("{from: %s, to: %s", si.FormatTime(p.new.From), si.FormatTime(p.new.To))
		if c.Why != "" {
			item += ", why: " + source.Quote(c.Why)
		}
		if err := text.Append("calm", item+"}"); err != nil {
			return err
		}
	}
	return nil
}

// begun is a section that begins at a time of the new take.
type begun struct {
	section int
	old, at time.Duration
}

// sections moves the sections of draft.yaml. Each lasts until the next, so what counts
// is which of them every piece of the new take comes from. Where sections keep their
// order the texts are changed in place; where the new take plays them in another, or
// one twice, the list is written anew from the items' own texts, comments inside them
// included. A file of nothing else than sections goes when all are cut.
func (v *mover) sections(text *source.Text, data []byte) error {
	wish, faults := draft.ReadWish(draft.WishFile, data)
	if faults.Err() != nil {
		return faults
	}
	list := wish.Sections
	if len(list) == 0 {
		return nil
	}
	begins := v.begins(list)
	var cut []int
	for i, s := range list {
		moved := Moved{Kind: Section, Old: s.From}
		var places []piece
		for _, b := range begins {
			if b.section == i {
				places = append(places, piece{old: retake.Interval{From: b.old}, new: retake.Interval{From: b.at}})
			}
		}
		v.stretch(&moved, places)
		v.r.Moved = append(v.r.Moved, moved)
		if moved.Cut {
			cut = append(cut, i)
			if err := v.aside(text, "sections", i, moved); err != nil {
				return err
			}
		}
	}
	switch {
	case len(cut) == len(list) && text.Alone("sections"):
		v.r.Texts[draft.WishFile] = nil
		return nil
	case len(cut) == len(list) || inOrder(begins):
		return setSections(text, begins, cut)
	}
	var items []string
	for _, b := range begins {
		item, err := text.Item("sections", b.section, map[string]string{"from": si.FormatTime(b.at)})
		if err != nil {
			return err
		}
		items = append(items, item)
	}
	return text.Replace("sections", items)
}

// begins lists where sections begin in the new take. What is new in it belongs to the
// section that it stands in; a first section from the beginning stays so. A section
// that goes on over the edge of two spans begins once.
func (v *mover) begins(list []draft.Section) []begun {
	var out []begun
	for _, span := range v.m.Spans {
		for i, s := range list {
			to := v.m.OldLength
			if i+1 < len(list) {
				to = list[i+1].From
			}
			part := retake.Interval{From: max(s.From, span.Old.From), To: min(to, span.Old.To)}
			if part.Length() < min(leastStretch, to-s.From) || len(out) > 0 && out[len(out)-1].section == i {
				continue
			}
			b := begun{i, part.From, v.within(span, part.From)}
			if len(out) == 0 && s.From == 0 && part.From < leastStretch {
				b.at = 0
			}
			if len(out) == 0 || b.at > out[len(out)-1].at {
				out = append(out, b)
			}
		}
	}
	return out
}

// inOrder tells whether every section begins once at most, in the old order.
func inOrder(begins []begun) bool {
	for i := 1; i < len(begins); i++ {
		if begins[i].section < begins[i-1].section {
			return false
		}
	}
	return true
}

func setSections(text *source.Text, begins []begun, cut []int) error {
	for _, b := range begins {
		pos, _ := text.Find("sections", b.section, "from")
		if err := text.Set(pos, si.FormatTime(b.at)); err != nil {
			return err
		}
	}
	return text.Remove("sections", cut...)
}

// decisions moves the decisions of spotting.yaml; a nudge keeps its distance from its
// moment. A decision on a moment that is not heard any more stays at its time (a
// rejection still tells what is not wanted), but for bars, which name nothing without
// their count.
func (v *mover) decisions(text *source.Text, data []byte) error {
	list, faults := draft.ReadDecisions(draft.DecisionsFile, data)
	if faults.Err() != nil {
		return faults
	}
	var cut []int
	for i, d := range list {
		moved := Moved{Kind: Decision, Name: strings.TrimSpace(d.Moment.String() + " " + string(d.Verdict))}
		a, err := v.anchor(&moved, d.Moment)
		if err != nil {
			return fmt.Errorf("%v: %w", d.Pos, err)
		}
		if a.Kind == "" && !moved.Cut && d.Moment.Kind != "bar" { // what is decided of it stays, heard or not
			a = d.Moment
			a.Near = moved.New
		}
		moved.Cut = moved.Cut || a.Kind == ""
		v.r.Moved = append(v.r.Moved, moved)
		if moved.Cut {
			cut = append(cut, i)
			if err := v.aside(text, "decisions", i, moved); err != nil {
				return err
			}
			continue
		}
		pos, _ := text.Find("decisions", i, "moment")
		err = text.Set(pos, a.String())
		if d.Move != nil && err == nil {
			pos, _ = text.Find("decisions", i, "move to")
			err = text.Set(pos, si.FormatTime(max(moved.New+*d.Move-moved.Old, 0)))
		}
		if err != nil {
			return err
		}
	}
	if len(list) > 0 && len(cut) == len(list) {
		v.r.Texts[draft.DecisionsFile] = nil
		return nil
	}
	return text.Remove("decisions", cut...)
}
