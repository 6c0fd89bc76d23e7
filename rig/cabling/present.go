package cabling

import (
	"lampblack/rig"
	"lampblack/si"
)

// Present is how much cable the data lines take as the rig has them now, by the same model and from the
// same place; false where not every unit hangs on exactly one of them.
func Present(r *rig.Rig, o Options) (sum si.Length, whole bool) {
	if len(o.Stock) == 0 {
		o.Stock = Usual
	}
	seen := map[int]int{}
	for i := range r.Lines {
		at := o.Desk
		for _, name := range r.Lines[i].Value.Order {
			u := r.Index(name)
			if u < 0 {
				return 0, false
			}
			seen[u]++
			sum += total(o.Stock.Pieces(Run(at, r.Units[u].At)))
			at = r.Units[u].At
		}
	}
	for i := range r.Units {
		if m := r.Units[i].Mode; m != nil && m.Footprint > 0 && seen[i] != 1 {
			return 0, false
		}
	}
	return sum, true
}
