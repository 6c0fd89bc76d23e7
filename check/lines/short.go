package lines

import (
	"lampblack/check/finding"
	"lampblack/rig"
	"lampblack/si"
	"lampblack/source"
)

// short finds data lines that are shorter than the way through their units: straight from one to the next, in
// the order that the line gives, else in the shortest way in which all of them can be joined.
func (r *limits) short(l *source.Entry[rig.Line], units []int) {
	v := &l.Value
	if v.Length == 0 || v.Wireless || v.Branches {
		return
	}
	var at [][3]si.Length
	for _, u := range units {
		if hung := r.Rig().Units[u].Hung; hung != nil {
			at = append(at, *hung)
		}
	}
	way := joined(at)
	if len(v.Order) >= len(units) {
		way = 0
		for i := 1; i < len(at); i++ {
			way += float64(si.Apart(at[i-1], at[i]))
		}
	}
	if float64(v.Length) >= way {
		return
	}
	f := finding.Finding{ID: "line-short", Severity: finding.Warn, Place: finding.Thing("line", l.Name), Units: r.UnitNames(units), Value: float64(v.Length), Limit: way, Unit: "m",
		Margin: (float64(v.Length) - way) / way, Source: "the units' own places, straight from one to the next",
		Says: finding.Say("data line %s is %s long, and its units are %s apart one after another", l.Name, si.Of(float64(v.Length), "m"), si.Of(way, "m")),
		Cure: finding.Say("bring longer cables: count ways up, down and around as well, and a spare")}
	r.Add(f.At(l.Pos))
}

// joined is the length of the shortest tree that joins points (Prim 1957), which no chain through them is
// shorter than.
func joined(at [][3]si.Length) (sum float64) {
	if len(at) == 0 {
		return 0
	}
	left := at[1:]
	near := make([]float64, len(left))
	for i := range left {
		near[i] = float64(si.Apart(at[0], left[i]))
	}
	taken := make([]bool, len(left))
	for range left {
		best := -1
		for i := range left {
			if !taken[i] && (best < 0 || near[i] < near[best]) {
				best = i
			}
		}
		taken[best] = true
		sum += near[best]
		for i := range left {
			near[i] = min(near[i], float64(si.Apart(left[best], left[i])))
		}
	}
	return sum
}
