package subject

import (
	"slices"
	"time"

	"lampblack/rig"
	"lampblack/show"
)

// SlotWatch looks at the slots themselves, as the units will: it finds values
// in ranges that must never be entered, and values at which a unit flashes
// though the show does not ask for it.
type SlotWatch struct {
	Ranged []RangedSlot
	Found  []SlotSpan
	open   map[int]int // by ranged slot: index in found of the span that goes on
}

// RangedSlot is one slot of a unit that has ranges to keep out of.
type RangedSlot struct {
	Unit      int // index
	Ranges    []rig.Range
	Number    int  // of the slot in its mode
	Fades     bool // it drives an emitter or dims others
	Low, High byte // values seen
	Used      bool

	page, slot int // index of the frame's universe, of the slot from 0
}

// SlotSpan is how long a slot stood in a range.
type SlotSpan struct {
	Slot     int // index in Ranged
	Within   int // index in its Ranges
	Value    byte
	From, To time.Duration
}

// newSlotWatch leaves out units that share slots with others: what they do is
// anybody's guess, and the overlap is a finding of its own.
func newSlotWatch(rg *rig.Rig) SlotWatch {
	w := SlotWatch{open: map[int]int{}}
	shared := rg.Overlapping()
	pages := rg.Universes()
	for i := range rg.Units {
		u := &rg.Units[i]
		if shared[i] || u.Mode == nil || u.Address < 1 || u.Address+u.Mode.Footprint-1 > 512 {
			continue
		}
		for _, slot := range u.Mode.Slots {
			if !slices.ContainsFunc(slot.Ranges, Watched) {
				continue
			}
			w.Ranged = append(w.Ranged, RangedSlot{Unit: i, Ranges: slot.Ranges, Number: slot.Coarse, Fades: slot.Drives != "" || len(slot.Dims) > 0,
				page: slices.Index(pages, u.Universe), slot: u.Address - 1 + slot.Coarse - 1})
		}
	}
	return w
}

// Watched tells whether a range is one to keep out of.
func Watched(r rig.Range) bool {
	return r.Does == rig.Never || r.Does == rig.Flash || r.Does == rig.FlashRandom
}

func (w *SlotWatch) reset() {
	w.Found, w.open = nil, map[int]int{}
	for i := range w.Ranged {
		w.Ranged[i].Used = false
	}
}

// take hands the finds over; Ranged is copied, as the next piece sets its values back.
func (w *SlotWatch) take() SlotWatch {
	return SlotWatch{Ranged: slices.Clone(w.Ranged), Found: w.Found}
}

// see notes the slots of one frame. A span ends with the last frame that was seen
// inside it, so it is short by up to slotStep; a slot that moves from one watched range
// into another begins a span of its own.
func (w *SlotWatch) see(f *show.Frame, t time.Duration) {
	for i := range w.Ranged {
		s := &w.Ranged[i]
		v := f.Universes[s.page].Slots[s.slot]
		s.reach(v, v)
		at := s.at(v, f.Flash[s.Unit] > 0)
		k, going := w.open[i]
		switch {
		case going && w.Found[k].Within == at:
			w.Found[k].To = t
		case at < 0:
			delete(w.open, i)
		default:
			w.open[i] = len(w.Found)
			w.Found = append(w.Found, SlotSpan{i, at, v, t, t})
		}
	}
}

// reach widens the values that the slot was seen at.
func (s *RangedSlot) reach(low, high byte) {
	if !s.Used {
		s.Used, s.Low, s.High = true, low, high
	}
	s.Low, s.High = min(s.Low, low), max(s.High, high)
}

// at returns the index of the watched range that v lies in, or -1; asked says that the
// show wants the unit to flash. A range in which the unit flashes is fair where the
// look asks for a flash; one that is never to be entered never is.
func (s *RangedSlot) at(v byte, asked bool) int {
	for i := range s.Ranges {
		g := &s.Ranges[i]
		if int(v) >= g.From && int(v) <= g.To && Watched(*g) && (g.Does == rig.Never || !asked) {
			return i
		}
	}
	return -1
}

// rates fills dst with the rate at which the slots make each unit flash; a
// random rate, or one without figures, is the worst that it may be.
func (w *SlotWatch) rates(dst []float32, f *show.Frame) {
	clear(dst)
	for i := range w.Ranged {
		s := &w.Ranged[i]
		v := int(f.Universes[s.page].Slots[s.slot])
		for j := range s.Ranges {
			g := &s.Ranges[j]
			if v < g.From || v > g.To {
				continue
			}
			if g.Does == rig.Flash || g.Does == rig.FlashRandom {
				dst[s.Unit] = max(dst[s.Unit], float32(g.Fastest(v)))
			}
		}
	}
}

// join appends what another piece found. It does not join spans that touch at the end
// of a piece: a slot that stands across it counts twice.
func (w *SlotWatch) join(next *SlotWatch) {
	w.Found = append(w.Found, next.Found...)
	for i := range next.Ranged {
		if n := &next.Ranged[i]; n.Used {
			w.Ranged[i].reach(n.Low, n.High)
		}
	}
}
