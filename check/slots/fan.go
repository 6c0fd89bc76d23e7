package slots

import (
	"lampblack/check/finding"
	"lampblack/rig"
	"lampblack/si"
)

// warm is the share of all its light from which a unit is taken to need its
// fan. Common practice, no source: makers let fans stand for quiet scenes, and
// say nothing of how bright those may be.
const warm = 1. / 3

// fans reports units that shine while their fan stands. A unit's heat goes by
// the mean of its drives, each taken to draw as much as the others; how long it
// takes to grow hot is not known, so the first instant counts.
func (r *limits) fans() {
	for i := range r.Rig().Units {
		u := &r.Rig().Units[i]
		if u.Mode == nil {
			continue
		}
		for j := range u.Mode.Slots {
			s := &u.Mode.Slots[j]
			if g := s.At(s.Rest()); g != nil && g.Does == rig.FanOff {
				r.fan(i, s, g)
			}
		}
	}
}

func (r *limits) fan(unit int, s *rig.Slot, off *rig.Range) {
	from, to := r.Rig().UnitDrives(unit)
	t := r.Trace()
	best, at := float32(0), 0
	for k, levels := range t.Levels {
		sum := float32(0)
		for _, l := range levels[from:to] {
			sum += l
		}
		if mean := sum / float32(max(to-from, 1)); mean > best {
			best, at = mean, k
		}
	}
	if best == 0 {
		return
	}
	severity := finding.Warn
	if best < warm {
		severity = finding.Note
	}
	r.Add(finding.Finding{ID: "slot-fan", Severity: severity, Place: finding.Thing("unit", r.Unit(unit)), Units: []string{r.Unit(unit)},
		Value: float64(best), Limit: warm, Unit: "of its light", Source: "common practice, no source",
		Cure: finding.Say("let its slot rest at a speed of the fan: take the set away, or set it to a value that is one"),
		Cues: r.Standing(t.Times[at])}.
		As("slot-fan", severity, "unit %s shines at %s of its light while slot %d keeps its fan off: it may turn itself down, or fail", r.Unit(unit), si.Of(100*float64(best), "%"), s.Coarse).
		At(off.Pos).During(t.Times[at], t.Times[at]))
}
