package bench

import (
	"fmt"
	"slices"

	"lampblack/rig"
	"lampblack/si"
)

// ranges looks at the ends of every range that must leave light steady, or cut it off.
func (w *walk) ranges() {
	light := []string{w.seen()}
	for i := range w.mode.Slots {
		s := &w.mode.Slots[i]
		if s.Drives != "" {
			continue
		}
		for k := range s.Ranges {
			r := &s.Ranges[k]
			want := light
			switch {
			case r.Does == rig.Closed:
				want = nil
			case r.Does == rig.Nothing && len(s.Dims) == 0, r.Does == rig.Open:
			default:
				continue
			}
			w.rangeEnds(s, r, want)
		}
	}
}

// seen is what the slot that is used for light shows.
func (w *walk) seen() string {
	if l := w.mine[w.lit]; len(l) == 1 {
		return l[0]
	}
	return w.mode.Slots[w.lit].Drives
}

// rangeEnds tries a range at its ends, and where it rests.
func (w *walk) rangeEnds(s *rig.Slot, r *rig.Range, want []string) {
	values := []int{r.From, r.To}
	if v := s.Rest(); v > r.From && v < r.To {
		values = append(values, v)
	}
	values = slices.Compact(values)
	var bad []int
	for _, v := range values {
		a := w.ask(Step{Slots: w.with(w.send(w.lit), s, v), Say: fmt.Sprintf("slot %d at %d, where the table says %s", s.Coarse, v, r.Does), Ask: fmt.Sprintf("Is it steady %s? yes, or what you see", orDark(want)), Wants: Light, Expect: want})
		if w.err != nil {
			return
		}
		if a.Flashes || !same(a.Lights, want) {
			what := orDark(a.Lights)
			if a.Flashes {
				what = "flashing"
			}
			w.report.add(s.Coarse, "at %d it is %s: the table says %s", v, what, r.Does)
			bad = append(bad, v)
		}
	}
	if len(bad) > 0 {
		w.narrow(s, r, bad, want)
	}
}

// narrow finds how far a range is good from an end that is not, by halves.
func (w *walk) narrow(s *rig.Slot, r *rig.Range, bad []int, want []string) {
	lo, hi := r.From, r.To
	good := func(v int) bool {
		a := w.ask(Step{Slots: w.with(w.send(w.lit), s, v), Say: fmt.Sprintf("slot %d at %d", s.Coarse, v), Ask: fmt.Sprintf("Is it steady %s? yes, or what you see", orDark(want)), Wants: Light, Expect: want})
		return same(a.Lights, want) && !a.Flashes
	}
	switch {
	case slices.Contains(bad, lo) && slices.Contains(bad, hi):
		w.report.narrowed(s, r, 1, 0) // none of it
		return
	case slices.Contains(bad, lo):
		lo = w.edge(hi, lo, good)
	default:
		hi = w.edge(lo, hi, good)
	}
	if w.err == nil {
		w.report.narrowed(s, r, lo, hi)
	}
}

// edge is the last good value on the way from one that is good to one that is not, found by halves.
func (w *walk) edge(is, isNot int, good func(int) bool) int {
	for max(is-isNot, isNot-is) > 1 && w.err == nil {
		if m := (is + isNot) / 2; good(m) {
			is = m
		} else {
			isNot = m
		}
	}
	return is
}

// flashing counts the flashes of each range at its slow end, once somebody has agreed.
func (w *walk) flashing() {
	agreed := w.agreed
	for i := range w.mode.Slots {
		s := &w.mode.Slots[i]
		for k := range s.Ranges {
			r := &s.Ranges[k]
			if r.Does != rig.Flash || w.err != nil {
				continue
			}
			v := slowEnd(r)
			if !agreed {
				agreed = w.ask(Step{Slots: w.send(), Say: "next, the lamp flashes, slowly where the table says so. " + caution, Ask: "Go on with that?", Wants: YesNo}).Yes
				if !agreed {
					w.report.left("flashing was not tried")
					return
				}
			}
			if rate := r.Rate(v); r.Told == "" && rate > slowEnough && !w.ask(Step{Slots: w.send(), Say: fmt.Sprintf("slot %d flashes %v or more in all of %d-%d, by its table", s.Coarse, rate, r.From, r.To), Ask: "Show that?", Wants: YesNo}).Yes {
				continue
			}
			w.count(s, r, v)
		}
	}
}

// caution is said before a lamp may flash.
const caution = "A lamp that is otherwise than its table may flash fast. That can bring on a seizure: nobody who may not see flashes is near, and you look aside"

// slowEnd is the value of a range at which it flashes slowest.
func slowEnd(r *rig.Range) int {
	if r.Told == rig.FastToSlow || r.Told == "" && r.High < r.Low {
		return r.To
	}
	return r.From
}

// count has the flashes of ten seconds counted.
func (w *walk) count(s *rig.Slot, r *rig.Range, v int) {
	a := w.ask(Step{Slots: w.with(w.send(w.lit), s, v), Say: fmt.Sprintf("slot %d at %d", s.Coarse, v), Ask: "How many flashes in ten seconds? a number; 99 where it is too fast to count; no where it does not flash", Wants: Number})
	if w.err != nil {
		return
	}
	rate := a.Number / 10
	said := float64(r.Rate(v))
	switch {
	case !a.Yes || a.Number == 0:
		w.report.add(s.Coarse, "at %d it does not flash: the table says %s", v, r.Does)
		w.report.unflash(s, r)
	case r.Told == rig.RateUnknown && rate > slowEnough: // as was known
	case r.Told == rig.RateUnknown:
		w.report.rate(s, r, rig.SlowToFast)
	case rate > slowEnough && said <= slowEnough:
		w.report.add(s.Coarse, "at %d, where it should be slow, it flashes %s or more: fast and slow are the other way round, or its rates are other ones", v, si.Of(rate, "Hz"))
		w.report.rate(s, r, rig.RateUnknown)
	case r.Told == "" && (rate < .6*said || rate > 1.7*said):
		w.report.add(s.Coarse, "at %d it flashes %s: the table says %v", v, si.Of(rate, "Hz"), r.Rate(v))
		told := rig.SlowToFast
		if slowEnd(r) == r.To {
			told = rig.FastToSlow
		}
		w.report.rate(s, r, told)
	}
}

// away has the data pulled, and the power.
func (w *walk) away() {
	var frame []byte
	if w.lit >= 0 {
		frame = w.send(w.lit)
	} else {
		frame = w.send()
	}
	a := w.ask(Step{Slots: frame, Say: "pull the data plug out of the lamp, and wait ten seconds", Ask: "What does it do? hold (as before), dark, program (something of its own), skip. Then plug it in again", Wants: DataLoss})
	if w.err != nil {
		return
	}
	w.report.loss(a.Word)
	a = w.ask(Step{Slots: frame, Say: "switch the lamp's power off and on again, by its plug or switch, hands dry", Ask: "After how many seconds is it as before? a number, or no where it does not come back so", Wants: Number})
	if w.err == nil && !a.Yes {
		w.report.add(0, "after its power was cycled it does not come back by itself: somebody must be near it when the mains fail")
	}
	if w.err == nil && a.Yes {
		w.report.Back = a.Number
	}
}
