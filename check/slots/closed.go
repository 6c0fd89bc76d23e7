package slots

import (
	"fmt"

	"lampblack/check/finding"
	"lampblack/rig"
)

// closed finds slots that keep a unit dark which a look lights: they carry no light themselves,
// and the value at which they are held is one at which the unit is closed.
func (r *limits) closed() {
	lit := r.Trace().Most(len(r.Rig().Drives))
	for i := range r.Rig().Units {
		u := &r.Rig().Units[i]
		from, to := r.Rig().UnitDrives(i)
		if u.Mode == nil || !anyLit(lit[from:to]) {
			continue
		}
		for j := range u.Mode.Slots {
			if s := &u.Mode.Slots[j]; s.Drives == "" && len(s.Dims) == 0 {
				r.shut(i, s)
			}
		}
	}
}

func anyLit(levels []float32) bool {
	for _, v := range levels {
		if v > 0 {
			return true
		}
	}
	return false
}

// shut tells of a slot that is held where its unit is closed.
func (r *limits) shut(unit int, s *rig.Slot) {
	rest := s.Rest()
	g := s.At(rest)
	if g == nil || g.Does != rig.Closed {
		return
	}
	f := finding.Finding{ID: "slot-closed", Severity: finding.Stop, Place: fmt.Sprintf("unit %s slot %d", r.Unit(unit), s.Coarse), Units: []string{r.Unit(unit)},
		Value: float64(rest), Unit: "slot value", Source: "the fixture type's slot table",
		Says: finding.Say("slot %d of unit %s is held at %d, where the unit is closed: it stays dark whatever its other slots say", s.Coarse, r.Unit(unit), rest),
		Cure: finding.Say("write which values are open, as 250-255: open, in the type's file; try it on the unit")}
	r.Add(f.At(g.Pos))
}
