package cabling_test

import (
	"fmt"

	"lampblack/rig"
	"lampblack/rig/cabling"
)

// Three units on a bar and one on a stand, from a desk at the back: the order of the data line, and the
// cable to each.
func Example() {
	r := &rig.Rig{}
	for i, at := range []cabling.Place{{-2, 0, 3}, {2, 0, 3}, {0, 0, 3}, {3, 2, 1.5}} {
		u := rig.Unit{Universe: 1, Address: 1 + 8*i, Type: &rig.Type{}, Mode: &rig.Mode{Footprint: 8}, At: at}
		u.Name.Name = fmt.Sprintf("par %d", i+1)
		r.Units = append(r.Units, u)
	}
	plan, err := cabling.PlanLines(r, cabling.Options{Desk: cabling.Place{-2, -6, 1}})
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, l := range plan.Lines {
		for _, h := range l.Hops {
			fmt.Println(r.Units[h.To].Name.Name, h.Pieces)
		}
	}
	fmt.Println(plan.Metres, plan.Exact)
	// Output:
	// par 1 [15 m]
	// par 3 [5 m]
	// par 2 [5 m]
	// par 4 [10 m]
	// 35 m true
}
