package looks

import (
	"math"

	"lampblack/check/finding"
	"lampblack/si"
)

// flagged finds units whose flag cuts off all of the beam that they are aimed with: the middle of it goes higher
// than the flag lets pass, by more than half of the beam angle.
func (r *limits) flagged() {
	for i := range r.Rig().Units {
		u := &r.Rig().Units[i]
		if u.Mask == 0 || u.Type == nil || u.Aimed == nil || u.Hung == nil {
			continue
		}
		var way [3]float64
		for k := range way {
			way[k] = float64(u.Aim[k] - u.At[k])
		}
		rises := math.Atan2(way[2], math.Hypot(way[0], way[1]))
		over := rises - float64(u.Mask)
		if half := float64(u.Type.Beam.Half) / 2; half <= 0 || over < half {
			continue
		}
		degrees := func(a float64) si.Amount { return si.Of(a*180/math.Pi, "°") }
		f := finding.Finding{ID: "unit-flagged", Severity: finding.Warn, Place: finding.Thing("unit", u.Name.Name), Units: []string{u.Name.Name}, Source: "the unit's own aim and flag",
			Value: rises * 180 / math.Pi, Limit: float64(u.Mask) * 180 / math.Pi, Unit: "°",
			Says: finding.Say("unit %s is aimed %s over the level, and its flag lets no light pass above %s: nothing of its beam comes there", u.Name.Name, degrees(rises), degrees(float64(u.Mask))),
			Cure: finding.Say("set the flag higher (mask: over the level is positive), or aim it lower")}
		r.Add(f.At(u.Name.Pos))
	}
}
