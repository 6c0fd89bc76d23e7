package slots

import (
	"cmp"
	"fmt"
	"slices"

	"lampblack/check/finding"
	"lampblack/check/subject"
	"lampblack/rig"
)

// slots reports slots that stood where they should not. One finding for each
// slot and range, with the first time.
func (r *limits) slots() {
	watch := &r.Trace().Slots
	type key struct{ slot, within int }
	first := map[key]subject.SlotSpan{}
	times := map[key]int{}
	for _, s := range watch.Found {
		k := key{s.Slot, s.Within}
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
		r.stood(&watch.Ranged[k.slot], first[k], times[k])
	}
	for i := range watch.Ranged {
		r.crosses(&watch.Ranged[i])
	}
}

// crosses reports a fading slot that has values on both sides of a range that
// it must keep out of: its fades jump there.
func (r *limits) crosses(s *subject.RangedSlot) {
	if !s.Fades || !s.Used {
		return
	}
	for _, g := range s.Ranges {
		if !subject.Watched(g) || int(s.Low) >= g.From || int(s.High) <= g.To {
			continue
		}
		what := "a range that is never to be entered"
		if g.Does != rig.Never {
			what = "a range in which the unit flashes"
		}
		r.Add(finding.Finding{ID: "fade-crosses", Severity: finding.Warn, Place: fmt.Sprintf("unit %s slot %d", r.Unit(s.Unit), s.Number), Units: []string{r.Unit(s.Unit)},
			Value: float64(g.To - g.From + 1), Unit: "slot values", Source: "the fixture type's slot table",
			Says: finding.Say("fades of unit %s jump over %d-%d of slot %d, %s", r.Unit(s.Unit), g.From, g.To, s.Number, what),
			Cure: finding.Say("use a mode whose levels have slots of their own")}.At(g.Pos))
	}
}

func (r *limits) stood(s *subject.RangedSlot, span subject.SlotSpan, times int) {
	g := s.Ranges[span.Within]
	f := finding.Finding{ID: "slot-never", Severity: finding.Stop, Place: fmt.Sprintf("unit %s slot %d", r.Unit(s.Unit), s.Number), Units: []string{r.Unit(s.Unit)},
		Value: float64(span.Value), Unit: "slot value", Source: "the fixture type's slot table",
		Says: finding.Say("slot %d of unit %s stands at %d, inside %d-%d, which is never to be entered", s.Number, r.Unit(s.Unit), span.Value, g.From, g.To),
		Cues: r.Standing(span.From)}
	if g.Does != rig.Never {
		f.ID = "fade-crosses"
		f.Says = finding.Say("slot %d of unit %s stands at %d, inside %d-%d, where the unit flashes, and the show does not ask for it", s.Number, r.Unit(s.Unit), span.Value, g.From, g.To)
	}
	if times > 1 {
		f.Says = f.Says.And("; %d times in all", times)
	}
	r.Add(f.At(g.Pos).During(span.From, span.To))
}
