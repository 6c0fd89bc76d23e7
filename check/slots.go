package check

import (
	"cmp"
	"fmt"
	"slices"
	"time"

	"lampblack/rig"
	"lampblack/show"
)

// slotWatch looks at the slots themselves, as the units will: it finds values
// in ranges that must never be entered, and values at which a unit flashes
// though the show does not ask for it.
type slotWatch struct {
	ranged []rangedSlot
	found  []slotSpan
	open   map[int]int // by ranged slot: index in found of the span that goes on
}

// rangedSlot is one slot of a unit that has ranges to keep out of.
type rangedSlot struct {
	unit, page, slot int // index of the unit, of the frame's universe, of the slot from 0
	ranges           []rig.Range
	number           int  // of the slot in its mode
	fades            bool // it drives an emitter or dims others
	low, high        byte // values seen
	used             bool
}

// slotSpan is how long a slot stood in a range.
type slotSpan struct {
	slot     int // index in ranged
	within   int // index in its ranges
	value    byte
	from, to time.Duration
}

// newSlotWatch leaves out units that share slots with others: what they do is
// anybody's guess, and the overlap is a finding of its own.
func newSlotWatch(s *show.Show) slotWatch {
	w := slotWatch{open: map[int]int{}}
	shared := overlapping(s.Rig)
	pages := s.Rig.Universes()
	for i := range s.Rig.Units {
		u := &s.Rig.Units[i]
		if shared[i] || u.Mode == nil || u.Address < 1 || u.Address+u.Mode.Footprint-1 > 512 {
			continue
		}
		for _, slot := range u.Mode.Slots {
			if !slices.ContainsFunc(slot.Ranges, watched) {
				continue
			}
			w.ranged = append(w.ranged, rangedSlot{i, slices.Index(pages, u.Universe), u.Address - 1 + slot.Coarse - 1, slot.Ranges, slot.Coarse, slot.Drives != "" || len(slot.Dims) > 0, 0, 0, false})
		}
	}
	return w
}

func watched(r rig.Range) bool {
	return r.Does == rig.Never || r.Does == rig.Flash || r.Does == rig.FlashRandom
}

func (w *slotWatch) reset() {
	w.found, w.open = nil, map[int]int{}
	for i := range w.ranged {
		w.ranged[i].used = false
	}
}

func (w *slotWatch) take() slotWatch {
	return slotWatch{ranged: slices.Clone(w.ranged), found: w.found}
}

// see notes the slots of one frame.
func (w *slotWatch) see(f *show.Frame, t time.Duration) {
	for i := range w.ranged {
		s := &w.ranged[i]
		v := f.Universes[s.page].Slots[s.slot]
		s.reach(v, v)
		at := s.at(v, f.Flash[s.unit] > 0)
		k, going := w.open[i]
		switch {
		case going && w.found[k].within == at:
			w.found[k].to = t
		case at < 0:
			delete(w.open, i)
		default:
			w.open[i] = len(w.found)
			w.found = append(w.found, slotSpan{i, at, v, t, t})
		}
	}
}

// reach widens the values that the slot was seen at.
func (s *rangedSlot) reach(low, high byte) {
	if !s.used {
		s.used, s.low, s.high = true, low, high
	}
	s.low, s.high = min(s.low, low), max(s.high, high)
}

// at returns the index of the watched range that v lies in, or -1; asked says
// that the show wants the unit to flash.
func (s *rangedSlot) at(v byte, asked bool) int {
	for i := range s.ranges {
		g := &s.ranges[i]
		if int(v) >= g.From && int(v) <= g.To && watched(*g) && (g.Does == rig.Never || !asked) {
			return i
		}
	}
	return -1
}

// unknownRate is taken for a flash range that does not say its rate: the top
// of what strobe slots of small units are reported to do.
const unknownRate = 30

// rates fills dst with the rate at which the slots make each unit flash; a
// random or unknown rate is the worst of its range.
func (w *slotWatch) rates(dst []float32, f *show.Frame) {
	clear(dst)
	for i := range w.ranged {
		s := &w.ranged[i]
		v := int(f.Universes[s.page].Slots[s.slot])
		for j := range s.ranges {
			g := &s.ranges[j]
			if v < g.From || v > g.To {
				continue
			}
			rate := float32(0)
			switch {
			case g.Does == rig.Flash:
				rate = float32(g.Rate(v))
			case g.Does == rig.FlashRandom:
				rate = float32(g.High)
			default:
				continue
			}
			if g.High == 0 {
				rate = unknownRate
			}
			dst[s.unit] = max(dst[s.unit], rate)
		}
	}
}

// join appends what another piece found.
func (w *slotWatch) join(next *slotWatch) {
	w.found = append(w.found, next.found...)
	for i := range next.ranged {
		if n := &next.ranged[i]; n.used {
			w.ranged[i].reach(n.low, n.high)
		}
	}
}

// slots reports slots that stood where they should not. One finding for each
// slot and range, with the first time.
func (r *report) slots() {
	watch := &r.trace().slots
	type key struct{ slot, within int }
	first := map[key]slotSpan{}
	times := map[key]int{}
	for _, s := range watch.found {
		k := key{s.slot, s.within}
		if _, ok := first[k]; !ok {
			first[k] = s
		}
		times[k]++
	}
	keys := make([]key, 0, len(first))
	for k := range first {
		keys = append(keys, k)
	}
	slices.SortFunc(keys, func(a, b key) int { return cmp.Or(cmp.Compare(a.slot, b.slot), cmp.Compare(a.within, b.within)) })
	for _, k := range keys {
		r.stood(&watch.ranged[k.slot], first[k], times[k])
	}
	for i := range watch.ranged {
		r.crosses(&watch.ranged[i])
	}
}

// crosses reports a fading slot that has values on both sides of a range that
// it must keep out of: its fades jump there.
func (r *report) crosses(s *rangedSlot) {
	if !s.fades || !s.used {
		return
	}
	for _, g := range s.ranges {
		if !watched(g) || int(s.low) >= g.From || int(s.high) <= g.To {
			continue
		}
		what := "a range that is never to be entered"
		if g.Does != rig.Never {
			what = "a range in which the unit flashes"
		}
		r.add(Finding{ID: "fade-crosses", Severity: Warn, Place: fmt.Sprintf("unit %s slot %d", r.unit(s.unit), s.number), Units: []string{r.unit(s.unit)},
			Value: float64(g.To - g.From + 1), Unit: "slot values", Source: "the fixture type's slot table",
			Text: fmt.Sprintf("fades of unit %s jump over %d-%d of slot %d, %s", r.unit(s.unit), g.From, g.To, s.number, what),
			Hint: "use a mode whose levels have slots of their own"}.at(g.Pos))
	}
}

func (r *report) stood(s *rangedSlot, span slotSpan, times int) {
	g := s.ranges[span.within]
	f := Finding{ID: "slot-never", Severity: Stop, Place: fmt.Sprintf("unit %s slot %d", r.unit(s.unit), s.number), Units: []string{r.unit(s.unit)},
		Value: float64(span.value), Unit: "slot value", Source: "the fixture type's slot table",
		Text: fmt.Sprintf("slot %d of unit %s stands at %d, inside %d-%d, which is never to be entered", s.number, r.unit(s.unit), span.value, g.From, g.To),
		Cues: r.cuesAt(span.from)}
	if g.Does != rig.Never {
		f.ID = "fade-crosses"
		f.Text = fmt.Sprintf("slot %d of unit %s stands at %d, inside %d-%d, where the unit flashes, and the show does not ask for it", s.number, r.unit(s.unit), span.value, g.From, g.To)
	}
	if times > 1 {
		f.Text += fmt.Sprintf("; %d times in all", times)
	}
	r.add(f.at(g.Pos).during(span.from, span.to))
}

// cuesAt names the cue that stands at t.
func (r *report) cuesAt(t time.Duration) []string {
	if i := r.show.CueAt(t); i >= 0 {
		return []string{r.show.Cues[i].Number.Name}
	}
	return nil
}
