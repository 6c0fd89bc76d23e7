package suspect_test

import (
	"fmt"

	"lampblack/rig"
	"lampblack/rig/suspect"
	"lampblack/source"
)

// Of four units on one data line the last two follow nothing.
func Example() {
	r := &rig.Rig{}
	var order []string
	for i := range 4 {
		u := rig.Unit{Universe: 1, Address: 1 + 8*i, Type: &rig.Type{}}
		u.Name.Name = fmt.Sprintf("par %d", i+1)
		order = append(order, u.Name.Name)
		r.Units = append(r.Units, u)
	}
	r.Lines = source.Named[rig.Line]{{Name: "bar", Value: rig.Line{Order: order}}}
	v := suspect.Find(r, suspect.Question{Seen: suspect.Seen{"par 3": suspect.Deaf, "par 4": suspect.Deaf}})
	fmt.Println(v.Suspects[0].Name)
	fmt.Println(v.Next.Do)
	// Output:
	// the cable from par 2 to par 3, or its plugs
	// push both plugs in; if that is no help put the spare in the place of the cable from par 2 to par 3
}
