package dose

import (
	"fmt"
	"slices"
	"time"

	"lampblack/check/finding"
	"lampblack/rig"
	"lampblack/room"
	"lampblack/si"
)

// heldLong is how soon a day's dose would be reached under ultraviolet that stays, from which on that is a
// warning: as long as a show may go on before somebody looks (this tool's choice).
const heldLong = 2 * time.Hour

// held finds lamps of nothing but ultraviolet that keep it when their data stops, and tells how soon the
// eye that has most of it would have taken the dose of a day. Of lamps that give light to walk by as
// well, holding is wanted.
func (r *limits) held() {
	top := r.Trace().Most(len(r.Rig().Drives))
	keeps := make([]float32, len(top))
	var units []int
	for i := range r.Rig().Units {
		u := &r.Rig().Units[i]
		from, to := r.Rig().UnitDrives(i)
		if u.BlackLight() && u.WithoutData() == rig.LossHold && slices.Max(append(top[from:to:to], 0)) > 0 {
			units = append(units, i)
			copy(keeps[from:to], top[from:to])
		}
	}
	worst, soonest := -1, 0.0
	for e := range r.Transport().Eyes {
		per := 0.0 // W/m²
		for d, v := range r.Transport().MostRow(e, room.UVA) {
			per += v * float64(keeps[d])
		}
		limit := uvaLimit(r.IsChild(e) || slices.ContainsFunc(r.daysFor(e), func(d Day) bool { return d.Children }))
		if per > 0 && (worst < 0 || limit/per < soonest) {
			worst, soonest = e, limit/per
		}
	}
	if worst >= 0 {
		r.keeps(units, worst, soonest)
	}
}

func (r *limits) keeps(units []int, eye int, seconds float64) {
	u := &r.Rig().Units[units[0]]
	who := "unit " + u.Name.Name + " keeps its"
	if n := len(units); n > 1 {
		who = fmt.Sprintf("%d black lights keep their", n)
	}
	f := finding.Finding{ID: "uv-held", Severity: finding.Note, Place: finding.Thing("unit", u.Name.Name), Units: r.UnitNames(units), Value: seconds / 60, Limit: heldLong.Minutes(), Unit: "min", Source: uvaSource,
		Says:    finding.Say("when the data stops %s ultraviolet: from its brightest moment %s would have the dose of a day after %s", who, r.EyeName(eye), si.Of(seconds/60, "min")),
		Cure:    finding.Say("set it to go dark without data and try that by pulling the data plug; know where its mains plug is"),
		Assumed: "the eye stays where it is and turns to every lamp; lamps give the upper end of their output"}
	if f.Margin = (f.Value - f.Limit) / f.Limit; f.Margin < 0 {
		f.Severity = finding.Warn
	}
	f = f.At(u.Type.Pos)
	if u.OnLoss != rig.LossUnknown {
		f = f.At(u.Name.Pos)
	}
	r.Add(f)
}
