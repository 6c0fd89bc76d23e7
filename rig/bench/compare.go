package bench

import (
	"fmt"
	"slices"
	"strings"

	"lampblack/rig"
)

// shifted compares what slots light with what the table says: other light on a slot, two
// exchanged, all moved along by some slots.
func (w *walk) shifted() {
	if w.err != nil || w.closed {
		return
	}
	if n := w.shift(); n != 0 {
		w.report.moved = n
		w.report.add(0, "all its slots lie %d %s than the table says: its address is set so, or its mode is another; set the address, and walk again", max(n, -n), map[bool]string{true: "later", false: "earlier"}[n > 0])
		w.lit = -1 // what else would be found follows from it
		return
	}
	for _, i := range w.drives() {
		s := &w.mode.Slots[i]
		seen, known := w.mine[i]
		switch {
		case !known || same(seen, []string{s.Drives}):
		case len(seen) == 0:
			w.report.add(s.Coarse, "lights nothing: the table says %s", s.Drives)
			w.report.nothing(s)
		case len(seen) == 1 && seen[0] == "all":
			w.report.add(s.Coarse, "is the master: the table says %s", s.Drives)
			w.report.never(s)
		case len(seen) > 1:
			w.report.add(s.Coarse, "lights %s: the table says %s alone", strings.Join(seen, ", "), s.Drives)
			w.report.never(s)
		default:
			w.report.add(s.Coarse, "lights %s: the table says %s", seen[0], s.Drives)
			w.report.drives(s, seen[0])
		}
	}
}

// shift returns by how many slots all of what was seen is moved along; 0 where it is not.
func (w *walk) shift() int {
	byNumber := map[int]string{}
	for i := range w.mode.Slots {
		switch s := &w.mode.Slots[i]; {
		case s.Drives != "":
			byNumber[s.Coarse] = fmt.Sprint(s.Drives, s.Cell)
		case len(s.Dims) > 0:
			byNumber[s.Coarse] = "all0"
		}
	}
	for _, n := range []int{1, -1, 2, -2, 3, -3, 4, -4} {
		hits, misses := 0, 0
		for i, seen := range w.mine {
			if i < 0 {
				continue
			}
			s := &w.mode.Slots[i]
			there, known := byNumber[s.Coarse-n]
			switch {
			case len(seen) == 1 && known && strings.HasPrefix(there, seen[0]):
				hits++
			case len(seen) == 0 && !known:
			case len(seen) == 0 && known && there != "all0" && w.lit < 0: // its master may be down
			default:
				misses++
			}
		}
		if hits >= 2 && misses == 0 {
			return n
		}
	}
	return 0
}

// masters has each master down while all its light is up.
func (w *walk) masters() {
	all := w.drives()
	for i := range w.mode.Slots {
		s := &w.mode.Slots[i]
		if len(s.Dims) == 0 || w.err != nil {
			continue
		}
		outside := w.outside(s)
		a := w.ask(Step{Slots: w.with(w.send(all...), s, low(s)), Say: fmt.Sprintf("all its light up, and slot %d, the master, at %d", s.Coarse, low(s)), Ask: fmt.Sprintf("What shines still? yes for %s, as the table says", orDark(outside)), Wants: Light, Expect: outside})
		if w.err != nil || same(a.Lights, outside) {
			continue
		}
		w.report.add(s.Coarse, "with this master down %s shines: the table says %s", orDark(a.Lights), orDark(outside))
		w.report.dims(w, s, a.Lights)
	}
}

// outside lists the light that a master leaves alone.
func (w *walk) outside(s *rig.Slot) (out []string) {
	for _, i := range w.drives() {
		d := w.mode.Slots[i].Drives
		if !slices.Contains(s.Dims, "all") && !slices.Contains(s.Dims, d) && !slices.Contains(out, d) {
			out = append(out, d)
		}
	}
	return out
}

func orDark(l []string) string {
	if len(l) == 0 {
		return "nothing"
	}
	return strings.Join(l, ", ")
}

// travel finds where light begins and where it is full, of each master, and of the drives
// where there is none.
func (w *walk) travel() {
	var of []int
	for i := range w.mode.Slots {
		if len(w.mode.Slots[i].Dims) > 0 {
			of = append(of, i)
		}
	}
	if len(of) == 0 {
		of = append(of, w.lit)
	}
	for _, i := range of {
		s := &w.mode.Slots[i]
		base := w.send(w.lit)
		w.first(s, base)
		w.top(s, base)
		w.fine(s, base)
	}
	for _, i := range w.drives() { // a drive behind a master: that it moves at all
		if !slices.Contains(of, i) && i == w.lit {
			w.first(&w.mode.Slots[i], w.send(w.lit))
		}
	}
}

// first finds the lowest value with light: upward by doubling, then by halves.
func (w *walk) first(s *rig.Slot, base []byte) {
	from, top := low(s), w.full(s)
	shines := func(v int) bool {
		return w.ask(Step{Slots: w.with(base, s, v), Say: fmt.Sprintf("slot %d at %d", s.Coarse, v), Ask: "Is there any light, however little?", Wants: YesNo}).Yes
	}
	darkTo, light := from, top
	for step := 1; from+step < top; step *= 2 {
		v := from + step
		if shines(v) {
			light = v
			break
		}
		darkTo = v
		if w.err != nil {
			return
		}
	}
	for light-darkTo > 1 && w.err == nil {
		if v := (light + darkTo) / 2; shines(v) {
			light = v
		} else {
			darkTo = v
		}
	}
	if w.err != nil {
		return
	}
	if said := from + s.Curve.DarkTo; darkTo-said > 1 || said-darkTo > 1 {
		w.report.add(s.Coarse, "first light is at %d: the table says %d", light, said+1)
		w.report.darkTo(s, darkTo-from)
	}
}

// top finds from where on more of a slot gives no more light.
func (w *walk) top(s *rig.Slot, base []byte) {
	const by = 25
	from, top := low(s), w.full(s)
	said := top
	if s.Curve.FullFrom > 0 {
		said = from + s.Curve.FullFrom
	}
	full := top
	for v := top; v-by > from+by && w.err == nil; v -= by {
		more := w.ask(Step{Before: w.with(base, s, v-by), Slots: w.with(base, s, v), Say: fmt.Sprintf("slot %d from %d to %d", s.Coarse, v-by, v), Ask: "Is it brighter now than before?", Wants: YesNo}).Yes
		if more || w.err != nil {
			break
		}
		full = v - by
	}
	if w.err == nil && full < said-by/2 {
		w.report.add(s.Coarse, "from %d on it is no brighter: the table says it grows up to %d", full, said)
		w.report.fullFrom(s, full-from)
	}
}

// fine looks whether a fine slot is fine: at the lowest coarse values it must matter little.
func (w *walk) fine(s *rig.Slot, base []byte) {
	if s.Fine == 0 {
		return
	}
	a, b := slices.Clone(base), slices.Clone(base)
	a[s.Coarse-1], a[s.Fine-1] = 128, 0
	b[s.Coarse-1], b[s.Fine-1] = 128, 255
	if w.ask(Step{Before: a, Slots: b, Say: fmt.Sprintf("slot %d, the fine one, from 0 to 255", s.Fine), Ask: "Is it much brighter now than before?", Wants: YesNo}).Yes && w.err == nil {
		w.report.add(s.Coarse, "slot %d moves it by much: coarse and fine are the other way round", s.Fine)
		w.report.exchange(s)
	}
}
